"""Places where the sound is broken: clicks, lost samples, and short holes.

A click, and a place where samples were lost or put in, is a second difference that stands far out of those
around it, within a few samples and within 40 ms: an attack goes on, a click does not. So does a note that was
cut off, or a drum that begins with a step: which it is the ear says. A hole is a short silence that begins
and ends at full level; a rest that was faded, however quickly, is none (common practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block
from arsis.units import power_to_db

from .windows import LongWindows, Window

WINDOW_S, BESIDE_S = 5.0, 0.7
# A click stands out of the hops within so long, but for its neighbours and the loudest few of others, which
# may be clicks as well; and of all samples within 1.5 ms.
CLICK_HOP_S, CLICK_AROUND_S, OTHER_CLICKS = 0.00036, 0.04, 2
CLICK_FRAMES, NEAR_FRAMES = 3, 64
STANDS_OUT = 6.0
# Under this a kink is not heard: the second difference of a click of one sample at -48 dBFS.
LEAST_BREAK = 2.0**-7
# What dither leaves of silence, in steps of the word, up to the words of 20 bits.
SILENT_STEPS, LONGEST_WORD = 2.0, 20
LEAST_HOLE_S, MOST_HOLE_S = 0.0005, 0.5
# Sound beside a hole is heard over so long and no softer than so; right at the edge it is not much softer.
BESIDE_HOLE_S, EDGE_S = 0.01, 0.00025
BESIDE_DBFS, SOFTER_DB = -50.0, 14.0


@dataclass(frozen=True, slots=True)
class BreakFacts:
    """Times of clicks, and of holes with their lengths, in seconds."""

    clicks_s: tuple[float, ...]
    holes_s: tuple[float, ...]
    hole_lengths_s: tuple[float, ...]


@dataclass(slots=True)
class BreakMeter:
    """Listens for places where the sound is broken. with_clicks: else for holes alone."""

    rate_hz: int
    channels: int
    bits: int | None
    with_clicks: bool = True
    _windows: LongWindows = field(init=False)
    _clicks: list[int] = field(default_factory=list)
    _holes: list[tuple[int, int]] = field(default_factory=list)

    def __post_init__(self) -> None:
        frames, beside = round(WINDOW_S * self.rate_hz), round(BESIDE_S * self.rate_hz)
        self._windows = LongWindows(self.channels, frames, beside)

    def add(self, block: Block) -> None:
        """Hears the next frames."""
        for window in self._windows.add(block):
            self._look(window)

    def finish(self) -> BreakFacts:
        """Of all that has been heard, which is all of the sound."""
        for window in self._windows.finish():
            self._look(window)
        holes = self._merged()
        # The two edges of a hole are no clicks of their own.
        edges = np.array([edge for at, frames in holes for edge in (at, at + frames)], dtype=np.float64)
        near = CLICK_AROUND_S * self.rate_hz
        clicks = [at for at in self._clicks if not np.any(np.abs(edges - at) < near)]
        return BreakFacts(
            tuple(at / self.rate_hz for at in clicks),
            tuple(at / self.rate_hz for at, _ in holes),
            tuple(frames / self.rate_hz for _, frames in holes),
        )

    def _look(self, window: Window) -> None:
        if self.with_clicks:
            at = window.start + _clicks(window.samples, self.rate_hz)
            self._clicks += [int(one) for one in at if window.first <= one < window.last]
        bits = LONGEST_WORD if self.bits is None else min(self.bits, LONGEST_WORD)
        for channel in window.samples:
            for start, frames in _holes(channel, self.rate_hz, SILENT_STEPS * 2.0 ** (1 - bits)):
                place = window.start + start
                if window.first <= place < window.last:
                    self._holes.append((place, frames))

    def _merged(self) -> list[tuple[int, int]]:
        """In time; both channels of one hole are one."""
        merged: list[tuple[int, int]] = []
        for place, frames in sorted(self._holes):
            if not merged or place - merged[-1][0] >= EDGE_S * self.rate_hz:
                merged.append((place, frames))
        return merged


def _clicks(samples: Block, rate_hz: int) -> NDArray[np.int64]:
    """Frames at which one second difference stands out of those around it."""
    hop = max(8, round(CLICK_HOP_S * rate_hz))
    bend = np.abs(samples[:, 2:] - 2.0 * samples[:, 1:-1] + samples[:, :-2]).max(axis=0, initial=0.0)
    hops, around = bend.size // hop, round(CLICK_AROUND_S * rate_hz / hop)
    if hops <= 2 * around:
        return np.zeros(0, dtype=np.int64)
    most = bend[: hops * hop].reshape(hops, hop).max(axis=1)
    mean = np.convolve(most, np.ones(2 * around + 1) / (2 * around + 1), "same")
    beside = np.maximum(np.pad(most, (1, 0))[:-1], np.pad(most, (0, 1))[1:])
    # The mean is a cheap first look: what does not stand out of it does not stand out.
    likely = np.flatnonzero((most >= LEAST_BREAK) & (most > 0.5 * STANDS_OUT * mean) & (most >= beside))
    alone = [int(i) for i in likely if _stands_out(most, int(i), around)]
    tops = [i * hop + int(np.argmax(bend[i * hop : (i + 1) * hop])) for i in alone]
    return np.array([top + 1 for top in tops if _is_alone(bend, top)], dtype=np.int64)


def _stands_out(most: NDArray[np.float64], i: int, around: int) -> bool:
    others = np.concatenate([most[max(0, i - around) : max(0, i - 1)], most[i + 2 : i + around + 1]])
    if others.size <= OTHER_CLICKS:
        return False
    return bool(most[i] > STANDS_OUT * np.partition(others, -1 - OTHER_CLICKS)[-1 - OTHER_CLICKS])


def _is_alone(bend: NDArray[np.float64], top: int) -> bool:
    """Whether nothing beside a few samples comes near it: the first stroke of a drum has a longer one."""
    before = bend[max(0, top - NEAR_FRAMES) : max(0, top - CLICK_FRAMES)]
    after = bend[top + CLICK_FRAMES + 1 : top + NEAR_FRAMES]
    return bool(bend[top] > STANDS_OUT * max(before.max(initial=0.0), after.max(initial=0.0)))


def _holes(x: NDArray[np.float64], rate_hz: int, silent: float) -> list[tuple[int, int]]:
    """(start, frames) of short silences in the middle of sound."""
    quiet = np.abs(x) <= silent
    turns = np.flatnonzero(np.diff(quiet)) + 1
    starts, ends = turns[quiet[turns]], turns[~quiet[turns]]
    if starts.size and ends.size and ends[0] < starts[0]:
        ends = ends[1:]
    found = []
    for start, end in zip(starts.tolist(), ends.tolist(), strict=False):
        if LEAST_HOLE_S <= (end - start) / rate_hz <= MOST_HOLE_S:
            before, after = x[:start][::-1], x[end:]
            if _is_hard(before, rate_hz) and _is_hard(after, rate_hz):
                found.append((start, end - start))
    return found


def _is_hard(x: NDArray[np.float64], rate_hz: int) -> bool:
    """Whether sound begins right away, at the level that it goes on with."""
    beside, edge = round(BESIDE_HOLE_S * rate_hz), max(4, round(EDGE_S * rate_hz))
    if x.size < beside:
        return False
    level_dbfs = power_to_db(float(np.mean(x[:beside] ** 2)))
    edge_dbfs = power_to_db(float(np.mean(x[:edge] ** 2)))
    return level_dbfs > BESIDE_DBFS and edge_dbfs > level_dbfs - SOFTER_DB
