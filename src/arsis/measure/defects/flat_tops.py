"""Tops that were cut off: runs of samples that stand still at the highest level a channel reaches.

A wave turns round at its top. Where many tops stand still at one and the same level, whatever made them could
go no further. A limiter leaves no such runs; neither does full scale itself, so a mix that was clipped and
then turned down is found, too (common practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block
from arsis.units import gain_to_db

# Tops this near to the highest are of one level; samples this near to each other stand still: the dither of
# a 24-bit word moves a clipped top by so much.
SAME_LEVEL = 1.0 - 2.0**-11
STILL = 2.0**-20
# A slow wave at its top stands still for three samples or so in a 16-bit word: at 40 Hz and full scale its
# second difference is one step of the word.
LEAST_FRAMES, LEAST_FRAMES_16 = 3, 4
LEAST_LEVEL = 0.05


@dataclass(frozen=True, slots=True)
class FlatTops:
    """tops: of both polarities and all channels. at_s: of the longest few. longest_frames: of one."""

    tops: int
    longest_frames: int
    level_dbfs: float
    at_s: tuple[float, ...]


class FlatTopMeter:
    """Listens for tops that stand still."""

    def __init__(self, rate_hz: int, channels: int, bits: int | None) -> None:
        least = LEAST_FRAMES_16 if bits is not None and bits <= 16 else LEAST_FRAMES
        self._rate_hz = rate_hz
        self._sides = [_Side(channel, sign, least) for channel in range(channels) for sign in (1.0, -1.0)]

    def add(self, block: Block) -> None:
        """Hears the next frames."""
        for side in self._sides:
            side.add(block)

    def facts(self, most_places: int = 5) -> FlatTops:
        """Of all that has been heard."""
        loud = [side for side in self._sides if side.top >= LEAST_LEVEL]
        runs = [side.runs() for side in loud]
        found = np.concatenate([np.zeros((0, 2), dtype=np.int64), *runs])
        longest = found[np.argsort(-found[:, 1], kind="stable")[:most_places]]
        level = max((side.top for side, own in zip(loud, runs, strict=True) if len(own)), default=0.0)
        return FlatTops(
            tops=len(found),
            longest_frames=int(found[:, 1].max(initial=0)),
            level_dbfs=gain_to_db(level),
            at_s=tuple(sorted(float(start) / self._rate_hz for start in longest[:, 0])),
        )


class _Side:
    """One polarity of one channel."""

    def __init__(self, channel: int, sign: float, least: int) -> None:
        self._channel, self._sign, self._least = channel, sign, least
        self.top = 0.0
        self._at = 0
        self._done: list[NDArray[np.float64]] = []  # (start, length, level) of each run that has ended
        self._open = np.zeros((0, 3))  # the last one: it may go on

    def add(self, block: Block) -> None:
        x = self._sign * block[self._channel]
        self.top = max(self.top, float(x.max(initial=0.0)))
        hot = np.flatnonzero(x >= self.top * SAME_LEVEL)
        if hot.size and self.top > 0.0:
            self._keep(hot, x[hot])
        self._at += x.size

    def _keep(self, hot: NDArray[np.int64], level: NDArray[np.float64]) -> None:
        """Runs among the samples at the top; one that goes on from the last block is the same run."""
        apart = (np.diff(hot) != 1) | (np.abs(np.diff(level)) > STILL)
        first = np.append(0, np.flatnonzero(apart) + 1)
        lengths = np.diff(np.append(first, hot.size))
        runs = np.stack([self._at + hot[first], lengths, level[first]], axis=1)
        for start, length, before in self._open:
            if start + length == runs[0, 0] and abs(before - runs[0, 2]) <= STILL:
                runs[0] = start, length + runs[0, 1], before
            elif length >= self._least:
                self._done.append(self._open)
        ended, self._open = runs[:-1], runs[-1:]
        long = ended[ended[:, 1] >= self._least]
        if long.size:
            self._done.append(long)

    def runs(self) -> NDArray[np.int64]:
        """(start, length) of each that is long enough and still at the top."""
        runs = np.concatenate([np.zeros((0, 3)), *self._done, self._open])
        kept = (runs[:, 2] >= self.top * SAME_LEVEL) & (runs[:, 1] >= self._least)
        return runs[kept, :2].astype(np.int64)
