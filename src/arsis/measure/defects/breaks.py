"""Places where the sound is broken: clicks, lost samples, and short holes.

A click, and a place where samples were lost or put in, is a second difference that stands far out of all
those around it, within a few samples and within 40 ms: an attack goes on, a click does not. So does a note
that was cut off, or a drum that begins with a step: which it is the ear says (common practice, no source). A
hole is a short run of samples that do not move, begun and ended in the middle of sound.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block
from arsis.units import power_to_db

from .windows import LongWindows, Window

WINDOW_S, BESIDE_S = 5.0, 0.7
# A click stands out of all hops but its neighbours within so long, and of all samples but its neighbours.
CLICK_HOP_S, CLICK_AROUND_S = 0.00036, 0.04
CLICK_FRAMES, NEAR_FRAMES = 3, 64
STANDS_OUT = 6.0
# Two steps of a 13-bit word: what dither and short words do between samples lies under it.
LEAST_BREAK = 2.0**-12
# The dither of a 24-bit word moves what is silent by so much.
STILL = 2.0**-20
LEAST_HOLE_S, MOST_HOLE_S = 0.0005, 0.5
EDGE_S, EDGE_DBFS = 0.002, -50.0


@dataclass(frozen=True, slots=True)
class BreakFacts:
    """Times of clicks, and of holes with their lengths, in seconds."""

    clicks_s: tuple[float, ...]
    holes_s: tuple[float, ...]
    hole_lengths_s: tuple[float, ...]


@dataclass(slots=True)
class BreakMeter:
    """Listens for places where the sound is broken."""

    rate_hz: int
    channels: int
    _windows: LongWindows = field(init=False)
    _clicks: list[int] = field(default_factory=list)
    _holes: dict[int, int] = field(default_factory=dict)

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
        places = sorted(self._holes)
        # The two edges of a hole are no clicks of their own.
        edges = np.array([e for at in places for e in (at, at + self._holes[at])], dtype=np.float64)
        near = CLICK_AROUND_S * self.rate_hz
        clicks = [at for at in self._clicks if not np.any(np.abs(edges - at) < near)]
        return BreakFacts(
            tuple(at / self.rate_hz for at in clicks),
            tuple(at / self.rate_hz for at in places),
            tuple(self._holes[at] / self.rate_hz for at in places),
        )

    def _look(self, window: Window) -> None:
        at = window.start + _clicks(window.samples, self.rate_hz)
        self._clicks += [int(one) for one in at if window.first <= one < window.last]
        for channel in window.samples:
            for start, frames in _holes(channel, self.rate_hz):
                place = window.start + start
                if window.first <= place < window.last:
                    self._note_hole(place, frames)

    def _note_hole(self, place: int, frames: int) -> None:
        """Both channels of one hole are one."""
        near = EDGE_S * self.rate_hz
        if not any(abs(place - other) < near for other in self._holes):
            self._holes[place] = frames


def _clicks(samples: Block, rate_hz: int) -> NDArray[np.int64]:
    """Frames at which one second difference stands out of all around it."""
    hop = max(8, round(CLICK_HOP_S * rate_hz))
    bend = np.abs(samples[:, 2:] - 2.0 * samples[:, 1:-1] + samples[:, :-2]).max(axis=0, initial=0.0)
    hops = bend.size // hop
    around = round(CLICK_AROUND_S * rate_hz / hop)
    if hops <= 2 * around:
        return np.zeros(0, dtype=np.int64)
    most = bend[: hops * hop].reshape(hops, hop).max(axis=1)
    padded = np.pad(most, around)
    seen = np.lib.stride_tricks.sliding_window_view(padded, around - 1).max(axis=1)
    before, after = seen[:hops], seen[around + 2 : around + 2 + hops]
    beside = np.maximum(np.pad(most, (1, 0))[:-1], np.pad(most, (0, 1))[1:])
    found = (most >= LEAST_BREAK) & (most > STANDS_OUT * np.maximum(before, after)) & (most >= beside)
    tops = [int(i) * hop + int(np.argmax(bend[i * hop : (i + 1) * hop])) for i in np.flatnonzero(found)]
    return np.array([top + 1 for top in tops if _is_alone(bend, top)], dtype=np.int64)


def _is_alone(bend: NDArray[np.float64], top: int) -> bool:
    """Whether nothing beside a few samples comes near it: the first stroke of a drum has a longer one."""
    before = bend[max(0, top - NEAR_FRAMES) : max(0, top - CLICK_FRAMES)]
    after = bend[top + CLICK_FRAMES + 1 : top + NEAR_FRAMES]
    return bool(bend[top] > STANDS_OUT * max(before.max(initial=0.0), after.max(initial=0.0)))


def _holes(x: NDArray[np.float64], rate_hz: int) -> list[tuple[int, int]]:
    """(start, frames) of short runs that do not move, far from the tops, in the middle of sound."""
    moves = (
        np.flatnonzero(np.abs(np.diff(x)) > STILL) + 1
    )  # the first frame of each run, but for the first run
    starts = np.concatenate([[0], moves])
    lengths = np.diff(np.append(starts, x.size))
    least, most = LEAST_HOLE_S * rate_hz, MOST_HOLE_S * rate_hz
    edge = round(EDGE_S * rate_hz)
    found = []
    for i in np.flatnonzero((lengths >= least) & (lengths <= most)):
        start, frames = int(starts[i]), int(lengths[i])
        before, after = x[max(0, start - edge) : start], x[start + frames : start + frames + edge]
        if before.size < edge or after.size < edge:
            continue
        sounds = min(_level_dbfs(before), _level_dbfs(after)) > EDGE_DBFS
        top = max(float(np.abs(before).max()), float(np.abs(after).max()))
        if sounds and abs(x[start]) < 0.5 * top:
            found.append((start, frames))
    return found


def _level_dbfs(x: NDArray[np.float64]) -> float:
    return power_to_db(float(np.mean(x * x)))
