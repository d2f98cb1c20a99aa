"""What lossy coders do to a sound: each is really run, decoded as floats, and measured beside its source.

That a source stays under −1 dBTP says nothing certain of what is decoded from it, so it is tried.
"""

from __future__ import annotations

import tempfile
from collections.abc import Iterable, Iterator, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from arsis.audio import BLOCK_FRAMES, Block
from arsis.io.read import SoundReader, open_sound
from arsis.plan.profile import Codec, CodecCheck, Profile
from arsis.units import db_to_gain, gain_to_db

from .codec_ear import (
    PEAKS_PER_SECOND,
    BandChanges,
    CodecEar,
    Heard,
    NamedSpan,
    band_changes,
    cut_above_hz,
    stretches,
)
from .coding import ENDS, check_coding, libraries_used, unavailable
from .lossy import LossyWriter, decode, write_lossy

MOST_NAMED = 8  # so many of the highest stretches are told one by one


@dataclass(frozen=True, slots=True)
class Over:
    """A stretch whose decoded true peaks pass the limit. section: where it begins; None outside them all."""

    start_s: float
    end_s: float
    true_peak_dbtp: float
    section: str | None


@dataclass(frozen=True, slots=True)
class SectionChecked:
    """One section after the coder. overs: stretches that begin in it and pass the limit."""

    name: str
    start_s: float
    end_s: float
    source_true_peak_dbtp: float
    true_peak_dbtp: float
    overs: int
    loudness_change_lu: float | None
    bands_change_db: BandChanges


@dataclass(frozen=True, slots=True)
class CodecChecked:
    """One coder's work on one sound. A level that does not exist is -inf.

    overs: stretches over most_dbtp; overs_full_scale: over 0 dBTP. worst: the highest of the first, in
    order of time. cut_above_hz: where the coder's low-pass cuts, None where it cuts nothing that was there.
    coded_kbps: the file's true size over its length.
    """

    codec: Codec
    kbps: float
    coded_kbps: float
    rate_hz: int
    most_dbtp: float
    holds: bool
    source_true_peak_dbtp: float
    true_peak_dbtp: float
    true_peak_at_s: float
    overs_full_scale: int
    overs: int
    worst: tuple[Over, ...]
    source_integrated_lufs: float
    integrated_lufs: float
    loudness_change_lu: float | None
    bands_change_db: BandChanges
    cut_above_hz: float | None
    sections: tuple[SectionChecked, ...]
    libraries: dict[str, str]


def checks_for(
    profile: Profile, path: Path, sections: Sequence[NamedSpan] = (), folder: Path | None = None
) -> tuple[CodecChecked, ...]:
    """The profile's codec checks of one delivered file, but for those of coders that are not installed:
    what `untried` says of them has to be shown beside. folder: as for `check_codecs`."""
    checks = [check for check in profile.codec if unavailable(check.codec) is None]
    if not checks:
        return ()
    with open_sound(path) as sound:
        info = sound.info
        return check_codecs(blocks_of(sound), info.rate_hz, info.channels, checks, sections, folder)


def untried(checks: Sequence[CodecCheck]) -> tuple[str, ...]:
    """What has to be said of the checks that cannot be made here: nothing where all can."""
    reasons = [(check, unavailable(check.codec)) for check in checks]
    return tuple(
        f"{check.codec} at {check.kbps:g} kbit/s was not tried: {reason}"
        for check, reason in reasons
        if reason is not None
    )


def blocks_of(sound: SoundReader) -> Iterator[Block]:
    """A sound from its start, in blocks."""
    sound.seek(0)
    while (block := sound.read(BLOCK_FRAMES)).shape[1]:
        yield block


def check_codecs(
    blocks: Iterable[Block],
    rate_hz: int,
    channels: int,
    checks: Sequence[CodecCheck],
    sections: Sequence[NamedSpan] = (),
    folder: Path | None = None,
) -> tuple[CodecChecked, ...]:
    """Takes a stream of finished sound, once, through each of the coders, and measures what comes back.

    The coded files lie in `folder`, or in one of the system's, for that long. Raises ArsisError where a coder
    is not installed or does not take its bit rate, before anything is read.
    """
    for check in checks:
        check_coding(check.codec, check.kbps, rate_hz, channels)
    with tempfile.TemporaryDirectory(prefix="arsis-codecs-", dir=folder) as coded:
        paths = [Path(coded) / f"{number}{ENDS[check.codec]}" for number, check in enumerate(checks)]
        source = CodecEar(rate_hz, channels, sections)
        with ExitStack() as stack:
            writers: list[LossyWriter] = [
                stack.enter_context(write_lossy(path, check.codec, check.kbps, rate_hz, channels))
                for path, check in zip(paths, checks, strict=True)
            ]
            for block in map(np.ascontiguousarray, blocks):
                source.hear(block)
                for writer in writers:
                    writer.write(block)
        before = source.heard()
        return tuple(
            _checked(check, path, before, source.frames / rate_hz, sections)
            for path, check in zip(paths, checks, strict=True)
        )


def _checked(
    check: CodecCheck, path: Path, before: Heard, duration_s: float, sections: Sequence[NamedSpan]
) -> CodecChecked:
    with decode(path) as sound:
        ear = CodecEar(sound.info.rate_hz, sound.info.channels, sections)
        for block in blocks_of(sound):
            ear.hear(block)
    after = ear.heard()
    over = _overs(after.peaks, check.most_dbtp, sections)
    most_dbtp = gain_to_db(float(after.peaks.max()))
    return CodecChecked(
        codec=check.codec,
        kbps=check.kbps,
        coded_kbps=path.stat().st_size * 8 / duration_s / 1000.0,
        rate_hz=ear.rate_hz,
        most_dbtp=check.most_dbtp,
        holds=most_dbtp <= check.most_dbtp,
        source_true_peak_dbtp=gain_to_db(float(before.peaks.max())),
        true_peak_dbtp=most_dbtp,
        true_peak_at_s=int(after.peaks.argmax()) / PEAKS_PER_SECOND,
        overs_full_scale=len(stretches(after.peaks, 1.0)),
        overs=len(over),
        worst=_worst(over),
        source_integrated_lufs=before.integrated_lufs,
        integrated_lufs=after.integrated_lufs,
        loudness_change_lu=_difference(before.integrated_lufs, after.integrated_lufs),
        bands_change_db=band_changes(before.spectrum, after.spectrum),
        cut_above_hz=cut_above_hz(before.spectrum, after.spectrum),
        sections=_sections(sections, before, after, over),
        libraries=libraries_used(check.codec),
    )


def _overs(peaks: NDArray[np.float64], limit_dbtp: float, sections: Sequence[NamedSpan]) -> tuple[Over, ...]:
    return tuple(
        Over(
            start_s=start / PEAKS_PER_SECOND,
            end_s=end / PEAKS_PER_SECOND,
            true_peak_dbtp=gain_to_db(float(peaks[start:end].max())),
            section=_section_at(start / PEAKS_PER_SECOND, sections),
        )
        for start, end in stretches(peaks, db_to_gain(limit_dbtp))
    )


def _section_at(time_s: float, sections: Sequence[NamedSpan]) -> str | None:
    return next((s.name for s in sections if s.start_s <= time_s < s.end_s), None)


def _worst(overs: Sequence[Over]) -> tuple[Over, ...]:
    highest = sorted(overs, key=lambda over: -over.true_peak_dbtp)[:MOST_NAMED]
    return tuple(sorted(highest, key=lambda over: over.start_s))


def _difference(before: float, after: float) -> float | None:
    return after - before if np.isfinite(before) and np.isfinite(after) else None


def _sections(
    sections: Sequence[NamedSpan], before: Heard, after: Heard, overs: Sequence[Over]
) -> tuple[SectionChecked, ...]:
    return tuple(
        SectionChecked(
            name=section.name,
            start_s=section.start_s,
            end_s=section.end_s,
            source_true_peak_dbtp=_peak_dbtp(before, section),
            true_peak_dbtp=_peak_dbtp(after, section),
            overs=sum(section.start_s <= over.start_s < section.end_s for over in overs),
            loudness_change_lu=_difference(before.section_lufs[i], after.section_lufs[i]),
            bands_change_db=band_changes(before.section_spectra[i], after.section_spectra[i]),
        )
        for i, section in enumerate(sections)
    )


def _peak_dbtp(heard: Heard, section: NamedSpan) -> float:
    steps = slice(*(round(at * PEAKS_PER_SECOND) for at in (section.start_s, section.end_s)))
    return gain_to_db(float(heard.peaks[steps].max(initial=0.0)))
