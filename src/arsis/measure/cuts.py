"""Where a stream is cut for measuring: a regular grid, or given frames."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

import numpy as np
from numpy.typing import NDArray


class Cuts(Protocol):
    """The cuts of a stream, asked for in order."""

    def take(self, start: int, end: int) -> NDArray[np.int64]:
        """Cuts in (start, end], counted from `start`. `start` is the `end` of the call before."""
        ...


class GridCuts:
    """Cuts at the nearest frame to every 1/per_second: any rate will do.

    Every n-th cut of a grid is a cut of the n times coarser grid, so energies of fine steps add up
    exactly to those of coarse ones.
    """

    def __init__(self, rate_hz: int, per_second: int) -> None:
        self._rate_hz = rate_hz
        self._per_second = per_second
        self._table = self._edges(1, 1 + 64 * per_second)
        self._first = 1  # number of the first cut of the table

    def _edges(self, first: int, last: int) -> NDArray[np.int64]:
        numbers = np.arange(first, last, dtype=np.int64)
        return (2 * numbers * self._rate_hz + self._per_second) // (2 * self._per_second)

    def take(self, start: int, end: int) -> NDArray[np.int64]:
        while self._table[-1] <= end:
            grown = self._table.size * 2
            kept = self._table[np.searchsorted(self._table, start, side="right") :]
            self._first += self._table.size - kept.size
            self._table = np.concatenate([kept, self._edges(self._first + kept.size, self._first + grown)])
        low, high = np.searchsorted(self._table, (start, end), side="right")
        return self._table[low:high] - start


class GivenCuts:
    """Cuts at the frames given, in rising order."""

    def __init__(self, frames: Sequence[int]) -> None:
        self._frames = np.asarray(frames, dtype=np.int64)

    def take(self, start: int, end: int) -> NDArray[np.int64]:
        low, high = np.searchsorted(self._frames, (start, end), side="right")
        return self._frames[low:high] - start
