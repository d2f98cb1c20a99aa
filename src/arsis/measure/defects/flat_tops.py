"""Tops that were cut off: runs of samples that stand still, many of them at one and the same level.

A wave turns round at its top, slowly; where it was cut off it arrives at full slope and stands still. Many
such tops at one level are those of something that could go no further. A limiter leaves none; full scale
itself does not matter, so a mix that was clipped and then turned down is found, too (common practice, no
source).
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block
from arsis.units import gain_to_db

# Samples so near to each other stand still: the dither of a 24-bit word moves a clipped top by so much.
STILL = 2.0**-20
LEAST_FRAMES, MOST_FRAMES = 3, 1 << 14  # longer is no top
# The sample beside a cut-off top lies so far under it, and so many steps of the word; a slow wave's does not.
LEAST_SLOPE, LEAST_STEPS = 2.0**-12, 4
# Tops are looked for in the upper half of a channel's own range, and counted by levels so far apart.
LEAST_LEVEL, UPPER = 0.05, 0.5
LEVELS = 1 << 13
MOST_PLACES = 5


@dataclass(frozen=True, slots=True)
class FlatTops:
    """tops: of both polarities and all channels. longest_frames: of one. at_s: of the first few. share: of
    all frames, those that stand still so."""

    tops: int
    longest_frames: int
    level_dbfs: float
    at_s: tuple[float, ...]
    share: float


class FlatTopMeter:
    """Listens for tops that stand still."""

    def __init__(self, rate_hz: int, channels: int, bits: int | None) -> None:
        slope = max(LEAST_SLOPE, 0.0 if bits is None else LEAST_STEPS * 2.0 ** (1 - bits))
        self._rate_hz = rate_hz
        self._sides = [_Side(channel, sign, slope) for channel in range(channels) for sign in (1.0, -1.0)]

    def add(self, block: Block) -> None:
        """Hears the next frames."""
        for side in self._sides:
            side.add(block)

    def facts(self) -> FlatTops:
        """Of all that has been heard."""
        found = [side.cut_off() for side in self._sides]
        starts = sorted(start for one in found for start in one.starts)
        frames = max(1, self._sides[0].frames * len(self._sides) // 2)
        return FlatTops(
            tops=sum(one.tops for one in found),
            longest_frames=max(one.longest for one in found),
            level_dbfs=gain_to_db(max(one.level for one in found)),
            at_s=tuple(start / self._rate_hz for start in starts[:MOST_PLACES]),
            share=sum(one.still for one in found) / frames,
        )


@dataclass(slots=True)
class _Level:
    """The tops of a side that stand still at one level."""

    level: float = 0.0
    tops: int = 0
    still: int = 0
    longest: int = 0
    starts: tuple[int, ...] = ()

    def joined(self, other: _Level) -> _Level:
        return _Level(
            max(self.level, other.level),
            self.tops + other.tops,
            self.still + other.still,
            max(self.longest, other.longest),
            tuple(sorted((*self.starts, *other.starts))[:MOST_PLACES]),
        )


class _Side:
    """One polarity of one channel."""

    def __init__(self, channel: int, sign: float, slope: float) -> None:
        self._channel, self._sign, self._slope = channel, sign, slope
        self.frames = 0
        self._top = 0.0
        self._levels: dict[int, _Level] = defaultdict(_Level)
        self._held = np.zeros(1)  # the last run, with the sample before it: it may go on

    def add(self, block: Block) -> None:
        if not block.shape[1]:
            return
        x = np.concatenate([self._held, self._sign * block[self._channel]])
        first = self.frames - self._held.size
        self.frames += block.shape[1]
        self._top = max(self._top, float(x.max()))
        still = np.abs(np.diff(x)) <= STILL
        moves = np.flatnonzero(~still)
        self._note(x, moves, first)
        run = x[int(moves[-1]) if moves.size else 0 :]
        self._held = run if run[-1] >= LEAST_LEVEL and run.size < MOST_FRAMES else run[-1:]

    def _note(self, x: NDArray[np.float64], moves: NDArray[np.int64], first: int) -> None:
        """Runs between two moves: frames moves[i] + 1 to moves[i + 1]."""
        least = max(LEAST_LEVEL, UPPER * self._top)
        for i in np.flatnonzero(np.diff(moves) >= LEAST_FRAMES):
            start, length = int(moves[i]) + 1, int(moves[i + 1] - moves[i])
            level = float(x[start])
            beside = max(x[start - 1], x[start + length])
            if level >= least and level - beside >= self._slope:
                here = self._levels[round(level * LEVELS)]
                here.level = max(here.level, level)
                here.tops, here.still = here.tops + 1, here.still + length
                here.longest = max(here.longest, length)
                if len(here.starts) < MOST_PLACES:
                    here.starts = (*here.starts, first + start)

    def cut_off(self) -> _Level:
        """The tops at the level that has most of them."""
        nothing = _Level()
        near = [
            own.joined(self._levels.get(at + 1, nothing))
            for at, own in list(self._levels.items())
            if own.level >= UPPER * self._top
        ]
        return max(near, key=lambda one: one.tops, default=nothing)
