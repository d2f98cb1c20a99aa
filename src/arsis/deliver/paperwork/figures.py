"""Times, codes and sizes as the sheets have them."""

from __future__ import annotations

from arsis.deliver.manifest import SoundFacts
from arsis.plan.identifiers import shown_isrc
from arsis.report.text import NOTHING

CD_RATE_HZ = 44_100
CD_FRAME = 588  # samples in a CD frame, 75 a second: IEC 60908 (as libFLAC's rules for CD tracks have it)


def clock_ms(frames: int, rate_hz: int) -> str:
    """Minutes, seconds and thousandths: 3:07.250. Past an hour the minutes go on, as on a disc."""
    ms = (frames * 2_000 + rate_hz) // (2 * rate_hz)
    return f"{ms // 60_000}:{ms // 1_000 % 60:02d}.{ms % 1_000:03d}"


def disc_clock(frames: int) -> str:
    """Minutes, seconds and CD frames of a place on a CD frame: 03:07:18."""
    count = frames // CD_FRAME
    return f"{count // 4_500:02d}:{count // 75 % 60:02d}:{count % 75:02d}"


def isrc_cell(isrc: str | None) -> str:
    """An ISRC with its hyphens, under a head that says what it is; a dash for none."""
    return shown_isrc(isrc).removeprefix("ISRC ") if isrc else NOTHING


def file_form(facts: SoundFacts) -> str:
    """What a file is: `WAV, 44.1 kHz, 16 bit, stereo`."""
    words = None if facts.bits is None else f"{facts.bits} bit{' float' if facts.is_float else ''}"
    channels = {1: "mono", 2: "stereo"}.get(facts.channels, f"{facts.channels} channels")
    return ", ".join(
        filter(None, [facts.container.upper(), f"{facts.rate_hz / 1000:g} kHz", words, channels])
    )


def megabytes(count: int) -> str:
    """A file's size: 12.3 MB, of a million bytes each."""
    return f"{count / 1e6:.1f} MB"
