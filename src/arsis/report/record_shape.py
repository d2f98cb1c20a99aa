"""The shape of a record as data: every song where it lies, how loud it is and how it is coloured."""

from __future__ import annotations

from dataclasses import dataclass

from arsis.measure.spectrum import BandLevels


@dataclass(frozen=True, slots=True, kw_only=True)
class SongShape:
    """A song of the record. A level that does not exist is -inf, a relation None.

    gap_s: silence before it; overlap_s: how long the song before still sounds. between: the file laid over
    the gap. step_lu: of the integrated loudness. begins_lufs, ends_lufs: first and last ten seconds, gated;
    change_lu: from the end of the song before into its beginning. tone_db: bands against the record's mean.
    """

    place: int
    title: str
    side: str
    start_s: float
    end_s: float
    length_s: float
    gap_s: float
    overlap_s: float
    between: str | None
    loudness_lufs: float
    step_lu: float | None
    range_lu: float | None
    max_short_term_lufs: float
    true_peak_dbtp: float
    plr_db: float | None
    begins_lufs: float
    ends_lufs: float
    change_lu: float | None
    bands_db: BandLevels
    tone_db: BandLevels


@dataclass(frozen=True, slots=True, kw_only=True)
class SideShape:
    """A side of the record, or all of it where it has none. length_s: its songs and the gaps between them."""

    side: str
    songs: tuple[int, ...]
    start_s: float
    length_s: float
    loudness_lufs: float


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordShape:
    """A record. spread_lu: from the quietest to the loudest song. bands_db: mean of the songs' own."""

    title: str
    artist: str
    rate_hz: int
    length_s: float
    loudness_lufs: float
    spread_lu: float | None
    bands_db: BandLevels
    songs: tuple[SongShape, ...]
    sides: tuple[SideShape, ...]
