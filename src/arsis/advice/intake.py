"""Is this file fit to master? What was found, the weightiest first, and what was looked at and found good."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from arsis.io.info import SoundInfo
from arsis.measure.defects.examiner import Defects
from arsis.report.text import number

from .file_faults import file_faults
from .finding import Finding
from .sound_faults import sound_faults


@dataclass(frozen=True, slots=True)
class Intake:
    """fit: whether work can begin with this file. good: what was looked at and gives no cause to speak."""

    fit: bool
    findings: tuple[Finding, ...]
    good: tuple[str, ...]


def judge(info: SoundInfo, found: Defects) -> Intake:
    """Everything that the figures give cause to say, and no more."""
    findings = [*file_faults(info, found), *sound_faults(info, found)]
    findings.sort(key=lambda one: (not one.stops, not one.asks, -one.sure))
    return Intake(
        fit=not any(one.stops for one in findings),
        findings=tuple(findings),
        good=tuple(_good(info, found, {one.kind for one in findings})),
    )


def _good(info: SoundInfo, found: Defects, kinds: Sequence[str] | set[str]) -> Iterator[str]:
    """One line for each thing that is as it should be."""
    peak_dbtp, plr_db = found.meters.true_peak_dbtp, found.meters.plr_db
    if found.word.used_bits is not None and "short_word" not in kinds:
        yield f"word length: {found.word.used_bits} bits used"
    elif info.is_float:
        yield "word length: floats"
    if not {"clipping", "overs"} & set(kinds):
        yield f"peaks: {number(peak_dbtp)} dBTP, none cut off"
    if "limited" not in kinds and plr_db is not None:
        yield f"dynamics: PLR {number(plr_db)} dB, not held at its top"
    if not {"coded_once", "upsampled", "coded_file"} & set(kinds):
        yield "spectrum: no wall in it"
    if not {"clicks", "holes"} & set(kinds):
        yield "no clicks, no holes"
    if not {"polarity", "balance", "silent_channel", "fold_down"} & set(kinds):
        yield from _channels(found)
    if not {"hum", "noise", "subsonic", "dc"} & set(kinds):
        yield "no hum, no rumble, no DC"
    if not {"cut_start", "cut_end"} & set(kinds):
        yield "beginning and end are whole"


def _channels(found: Defects) -> Iterator[str]:
    channels = found.channels
    if channels.side_db is None:
        yield "one channel"
    elif channels.side_db == float("-inf"):
        yield "both channels are alike: mono"
    else:
        yield f"channels: balance within {number(abs(channels.balance_db or 0.0))} dB, holds in mono"
