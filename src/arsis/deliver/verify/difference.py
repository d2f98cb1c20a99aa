"""In words, how the sound of a file differs from the sound it should hold.

What is exact is said as fact: cut, added, shifted, turned, swapped, silenced. What is judged says its figure:
a change of level by least squares, and what is left of it.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Span
from arsis.io.read import SoundReader
from arsis.report.text import number
from arsis.units import gain_to_db, power_to_db

from .pair import PIECE_FRAMES, Pair, Sums, frames_of
from .say import at, length, many
from .top import highest_kept_hz

# Judged, by our own trials: a plain gain leaves rounding behind, some 60 dB and more under music; lossy
# coders leave 10 to 40 dB; another take or song does not correlate.
GAIN_LEFT_DB = -50.0
LEAST_GAIN_DB = 0.002
ALIKE = 0.8
WHOLE_SHARE = 0.9
ROUNDED_MOST = 8.0 / 2.0**15  # a few steps of 16 bits: what shaped dither comes to


def difference(found: SoundReader, true: SoundReader) -> str | None:
    """What was done to `true` to become `found`; None where no frame differs. Both are lossless files."""
    if found.info.rate_hz != true.info.rate_hz or found.info.channels != true.info.channels:
        return _other_form(found, true)
    pair = Pair(found, true)
    head = pair.same_from_start()
    if head == pair.frames == pair.true_frames:
        return None
    tail = pair.same_from_end()
    if pair.frames != pair.true_frames:
        if head + tail >= pair.shorter:
            return _cut_or_added(pair, head, tail)
        return f"{_lengths(pair)}, and {_whole(pair, Span(0, pair.shorter))}"
    span = Span(head, pair.frames - tail)
    if span.frames < WHOLE_SHARE * pair.frames and not _is_all_that_sounds(pair, span):
        return _stretch(pair, span)
    return _whole(pair, span)


def _other_form(found: SoundReader, true: SoundReader) -> str:
    if found.info.channels != true.info.channels:
        return f"{many(found.info.channels, 'channel')} in place of {true.info.channels}"
    rates = f"{found.info.rate_hz} Hz in place of {true.info.rate_hz}"
    if math.isclose(found.info.duration_s, true.info.duration_s, rel_tol=1e-3, abs_tol=2e-3):
        return f"resampled: {rates}"
    return f"marked as {rates}, so that it plays at another speed"


def _cut_or_added(pair: Pair, head: int, tail: int) -> str:
    rate_hz = pair.found.info.rate_hz
    piece = length(abs(pair.frames - pair.true_frames), rate_hz)
    if pair.frames < pair.true_frames:
        if tail == 0 or head == pair.frames:
            return f"truncated: {piece} missing at the end"
        if head == 0 or tail == pair.frames:
            return f"{piece} cut off the start"
        return f"{piece} cut out at {at(head, rate_hz)}"
    where = (
        "at the end"
        if tail == 0 or head == pair.true_frames
        else "before the start"
        if head == 0 or tail == pair.true_frames
        else f"at {at(head, rate_hz)}"
    )
    start = 0 if where == "before the start" else head
    what = "silence" if _is_silent(pair, start, pair.frames - pair.true_frames) else "sound"
    return f"{piece} of {what} added {where}"


def _is_all_that_sounds(pair: Pair, span: Span) -> bool:
    """Whether what is equal on both sides of a stretch is silence, as gaps are."""
    rest = pair.frames - span.end
    return span.frames > 1 and _is_silent(pair, 0, span.start) and _is_silent(pair, span.end, rest)


def _is_silent(pair: Pair, start: int, frames: int) -> bool:
    ends = (min(at + PIECE_FRAMES, start + frames) for at in range(start, start + frames, PIECE_FRAMES))
    return not any(frames_of(pair.found, max(start, end - PIECE_FRAMES), end).any() for end in ends)


def _stretch(pair: Pair, span: Span) -> str:
    rate_hz = pair.found.info.rate_hz
    if span.frames == 1:
        return f"one frame altered at {at(span.start, rate_hz)} (frame {span.start})"
    known = _exact(pair.sums(span))
    where = f"from {at(span.start, rate_hz)} to {at(span.end, rate_hz)}"
    return f"{known} {where}" if known else f"sound altered {where}: {_judged(pair, span, 0)}"


def _whole(pair: Pair, span: Span) -> str:
    sums = pair.sums(span)
    known = _exact(sums)
    if known:
        return known
    if _is_alike(sums) and pair.frames == pair.true_frames and _left_db(sums) < GAIN_LEFT_DB:
        return _judged(pair, span, 0)
    late = pair.lateness(_loudest(pair))
    if late == 0 or not _is_alike(pair.sums(pair.overlap(late), late)):
        return _judged(pair, span, 0)
    shift = f"shifted by {many(abs(late), 'frame')} {'later' if late > 0 else 'earlier'}"
    overlap = pair.overlap(late)
    if bool(pair.sums(overlap, late).same.all()):
        return shift
    return f"{shift}, and {_judged(pair, overlap, late)}"


def _exact(sums: Sums) -> str | None:
    """What holds at every frame."""
    if sums.silent.all():
        return "silenced"
    if sums.crossed:
        return "channels swapped"
    if sums.turned.all():
        return "polarity turned"
    if sums.same.size == 2:
        for channel, name in enumerate(("left", "right")):
            if sums.same[1 - channel] and sums.turned[channel]:
                return f"polarity of the {name} channel turned"
            if sums.same[1 - channel] and sums.silent[channel]:
                return f"{name} channel silenced"
    return None


def _judged(pair: Pair, span: Span, late: int) -> str:
    sums = pair.sums(span, late)
    if not _is_alike(sums):
        return "another sound, which does not follow the one that belongs there"
    gains_db, left_db = _gains_db(sums), _left_db(sums)
    if left_db < GAIN_LEFT_DB and np.max(np.abs(gains_db)) >= LEAST_GAIN_DB:
        return _level(gains_db)
    if sums.most <= ROUNDED_MOST:
        bits = pair.true.info.bits or 24
        steps = max(1, round(sums.most * 2.0 ** (bits - 1)))
        return f"rounded or dithered otherwise: at most {many(steps, 'step')} of its {bits}-bit word apart"
    top_hz = highest_kept_hz(pair, span, late)
    if top_hz is not None:
        return (
            f"re-encoded or filtered: nothing is left above {number(top_hz / 1000.0)} kHz, the difference "
            f"lies {number(-left_db)} dB under the sound"
        )
    return f"treated again: the difference, level matched, lies {number(-left_db)} dB under the sound"


def _level(gains_db: NDArray[np.float64]) -> str:
    if np.ptp(gains_db) < LEAST_GAIN_DB:
        return f"level changed by {number(float(gains_db.mean()), 2, signed=True)} dB"
    left, right = (number(float(gain_db), 2, signed=True) for gain_db in gains_db)
    return f"level changed by {left} dB on the left, {right} dB on the right"


def _gains_db(sums: Sums) -> NDArray[np.float64]:
    """Least squares, by channel; a silent channel has not changed."""
    own = np.diagonal(sums.found_true)
    gains = [abs(x) / t if t > 0.0 and x != 0.0 else 1.0 for x, t in zip(own, sums.true_true, strict=True)]
    return np.array([gain_to_db(float(gain)) for gain in gains])


def _left_db(sums: Sums) -> float:
    """What no gain explains, against the true sound."""
    own = np.diagonal(sums.found_true)
    explained = sum(x * x / t for x, t in zip(own, sums.true_true, strict=True) if t > 0.0)
    left = max(0.0, float(sums.found_found.sum() - explained))
    whole = float(sums.found_found.sum())
    return power_to_db(left / whole) if whole > 0.0 else -math.inf


def _is_alike(sums: Sums) -> bool:
    both = math.sqrt(float(sums.true_true.sum() * sums.found_found.sum()))
    return both > 0.0 and abs(float(np.trace(sums.found_true))) >= ALIKE * both


def _loudest(pair: Pair) -> int:
    """A frame of the true sound near its loudest."""
    best, at, piece = -1.0, 0, 1 << 16
    pair.true.seek(0)
    for start in range(0, pair.true_frames, piece):
        power = float(np.sum(pair.true.read(piece) ** 2))
        if power > best:
            best, at = power, start + piece // 2
    return min(at, pair.true_frames - 1)


def _lengths(pair: Pair) -> str:
    frames = pair.frames - pair.true_frames
    return f"{length(abs(frames), pair.found.info.rate_hz)} {'longer' if frames > 0 else 'shorter'}"
