"""Is this file fit to master? What was found, the weightiest first, and what was looked at and found good."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from arsis.io.info import SoundInfo
from arsis.measure.defects.examiner import Defects, Stopping
from arsis.report.text import change, number

from .file_faults import file_faults, file_stops
from .finding import Finding
from .sound_faults import sound_faults, sound_stops


@dataclass(frozen=True, slots=True)
class Intake:
    """fit: whether work can begin with this file. good: what was looked at and gives no cause to speak."""

    fit: bool
    findings: tuple[Finding, ...]
    good: tuple[str, ...]


# The weightiest first, of those that want another file, of those to ask for, and of the rest.
ORDER = (
    *("silent", "wild_sample", "open_end", "coded_file", "low_rate", "silent_channel", "holes"),
    *("polarity", "clipping"),
    *("coded_once", "limited", "clicks", "hum", "cut_end", "cut_start", "noise", "short_word", "fold_down"),
    *("upsampled", "balance", "wrong_rate", "subsonic", "dc", "overs"),
)
SILENT_DBFS, WILD_DBFS = -70.0, 60.0


def judge(info: SoundInfo, found: Defects) -> Intake:
    """Everything that the figures give cause to say, and no more."""
    nothing = _nothing_to_judge(found)
    if nothing is not None:
        return Intake(fit=False, findings=(nothing,), good=())
    findings = _sorted((*file_faults(info, found), *sound_faults(info, found)))
    return Intake(
        fit=not any(one.stops for one in findings),
        findings=findings,
        good=tuple(_good(info, found, {one.kind for one in findings})),
    )


def stopping(info: SoundInfo, found: Stopping) -> tuple[Finding, ...]:
    """What of the same stops the work."""
    nothing = _nothing_to_judge(found)
    if nothing is not None:
        return (nothing,)
    return _sorted(one for one in (*file_stops(info, found), *sound_stops(found)) if one.stops)


def _sorted(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    return tuple(sorted(findings, key=lambda one: (not one.stops, not one.asks, ORDER.index(one.kind))))


def _nothing_to_judge(found: Stopping) -> Finding | None:
    """What leaves all other figures without a meaning."""
    peak_dbfs = found.meters.sample_peak_dbfs
    if peak_dbfs < SILENT_DBFS:
        return Finding(
            kind="silent",
            says="silent throughout"
            if peak_dbfs == float("-inf")
            else f"next to silent: its highest sample lies at {number(peak_dbfs, 0)} dBFS",
            sure=1.0,
            means="There is nothing to master.",
            asks="Is this the right file?",
            stops=True,
        )
    if peak_dbfs > WILD_DBFS:
        return Finding(
            kind="wild_sample",
            says=f"a sample at {number(peak_dbfs, 0, signed=True)} dBFS, which is no sound",
            sure=1.0,
            means="Something went wrong when it was written; nothing else can be told.",
            asks="Could it be bounced again?",
            stops=True,
        )
    return None


def _good(info: SoundInfo, found: Defects, kinds: set[str]) -> Iterator[str]:
    """One line for each thing that is as it should be."""
    peak_dbtp, plr_db = found.meters.true_peak_dbtp, found.meters.plr_db
    if found.word.used_bits is not None and "short_word" not in kinds:
        yield f"word length: {found.word.used_bits} bits used"
    elif info.is_float and not info.is_lossy:
        yield "word length: floats"
    if not {"clipping", "overs"} & kinds:
        yield "peaks: " + (
            f"{number(peak_dbtp)} dBTP, none cut off"
            if peak_dbtp <= 0.0
            else f"{change(peak_dbtp)} dBTP, over full scale, but whole in floats"
        )
    if "limited" not in kinds and plr_db is not None:
        yield f"dynamics: PLR {number(plr_db)} dB, not held at its top"
    if not {"coded_once", "upsampled", "coded_file"} & kinds:
        yield "spectrum: no wall in it"
    if not {"clicks", "holes"} & kinds:
        yield "no clicks, no holes"
    if not {"polarity", "balance", "silent_channel", "fold_down"} & kinds:
        yield from _channels(found)
    if not {"hum", "noise", "subsonic", "dc"} & kinds:
        yield "no hum, no rumble, no DC"
    if not {"cut_start", "cut_end", "open_end"} & kinds:
        yield "beginning and end are whole"


def _channels(found: Defects) -> Iterator[str]:
    channels = found.channels
    if channels.fold_db is None:
        yield "one channel"
    elif channels.side_db == float("-inf"):
        yield "both channels are alike: mono"
    else:
        within_db = math.ceil(10.0 * abs(channels.balance_db or 0.0)) / 10.0
        yield f"channels: balance within {number(max(within_db, 0.1))} dB, holds in mono"
