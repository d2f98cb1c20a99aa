"""A record in figures, from what is heard of each of its songs."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from arsis.measure.loudness import HOPS_PER_SECOND, gated_lufs, gating_blocks
from arsis.measure.spectrum import BandLevels
from arsis.measure.summary import SoundFacts
from arsis.plan.model import Release
from arsis.report.record_figure import END_S
from arsis.report.record_shape import RecordShape, SideShape, SongShape

from .record import Placed, Record, Side


@dataclass(frozen=True, slots=True)
class Heard:
    """A song as it sounds in the record: trimmed, faded, at its level among the others, by itself."""

    facts: SoundFacts
    bands_db: BandLevels
    powers: NDArray[np.float64]


def shape_of(release: Release, titles: Sequence[str], record: Record, heard: Sequence[Heard]) -> RecordShape:
    """The record in figures, from what was heard of each song."""
    mean = _mean([one.bands_db for one in heard])
    blocks = [gating_blocks(one.powers) for one in heard]
    songs: list[SongShape] = []
    for placed, one in zip(record.songs, heard, strict=True):
        songs.append(_song_shape(release, titles, record, placed, one, mean, songs[-1] if songs else None))
    levels = [song.loudness_lufs for song in songs if np.isfinite(song.loudness_lufs)]
    return RecordShape(
        title=release.title,
        artist=release.artist,
        rate_hz=record.rate_hz,
        length_s=record.frames / record.rate_hz,
        loudness_lufs=gated_lufs(np.concatenate(blocks)),
        spread_lu=max(levels) - min(levels) if levels else None,
        bands_db=mean,
        songs=tuple(songs),
        sides=tuple(_side_shape(side, record.rate_hz, blocks) for side in record.sides),
    )


def _song_shape(
    release: Release,
    titles: Sequence[str],
    record: Record,
    placed: Placed,
    heard: Heard,
    mean: BandLevels,
    before: SongShape | None,
) -> SongShape:
    facts, hops = heard.facts, round(END_S * HOPS_PER_SECOND)
    between = release.song[placed.place - 1].between
    begins_lufs = gated_lufs(gating_blocks(heard.powers[:hops]))
    return SongShape(
        place=placed.place,
        title=titles[placed.place - 1],
        side=placed.side,
        start_s=placed.song.start / record.rate_hz,
        end_s=placed.song.end / record.rate_hz,
        length_s=placed.song.frames / record.rate_hz,
        gap_s=placed.gap_frames / record.rate_hz,
        overlap_s=placed.overlap_frames / record.rate_hz,
        between=None if between is None else between.file,
        loudness_lufs=facts.integrated_lufs,
        step_lu=None if before is None else _change(before.loudness_lufs, facts.integrated_lufs),
        range_lu=facts.range_lu,
        max_short_term_lufs=facts.max_short_term_lufs,
        true_peak_dbtp=facts.true_peak_dbtp,
        plr_db=facts.plr_db,
        begins_lufs=begins_lufs,
        ends_lufs=gated_lufs(gating_blocks(heard.powers[-hops:])),
        change_lu=None if before is None else _change(before.ends_lufs, begins_lufs),
        bands_db=heard.bands_db,
        tone_db=_by_band(lambda name: getattr(heard.bands_db, name) - getattr(mean, name)),
    )


def _side_shape(side: Side, rate_hz: int, blocks: Sequence[NDArray[np.float64]]) -> SideShape:
    return SideShape(
        side=side.name,
        songs=side.places,
        start_s=side.sound.start / rate_hz,
        length_s=side.sound.frames / rate_hz,
        loudness_lufs=gated_lufs(np.concatenate([blocks[place - 1] for place in side.places])),
    )


def _change(before: float, after: float) -> float | None:
    """None where one of them is silent."""
    difference = after - before
    return difference if np.isfinite(difference) else None


def _mean(bands: Sequence[BandLevels]) -> BandLevels:
    """Of the songs that have something in a band, in dB."""

    def mean(name: str) -> float:
        levels = [level for one in bands if np.isfinite(level := getattr(one, name))]
        return float(np.mean(levels)) if levels else float("-inf")

    return _by_band(mean)


def _by_band(level: Callable[[str], float]) -> BandLevels:
    return BandLevels(**{band.name: level(band.name) for band in fields(BandLevels)})
