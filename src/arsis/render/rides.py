"""The drawn ride: level linear in dB between its points, constant before the first and after the last."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block, silence
from arsis.dsp.kernels.ride import line_gain

from .schedule import RidePointAt


class Ride:
    """A stage that applies the drawn ride; straight through when nothing is drawn."""

    def __init__(self, points: Sequence[RidePointAt], channels: int, begin: int = 0) -> None:
        self._points, self._channels, self._at = tuple(points), channels, begin

    def push(self, block: Block) -> Block:
        start, self._at = self._at, self._at + block.shape[1]
        return block * ride_gain(self._points, start, self._at) if self._points else block

    def flush(self) -> Block:
        return silence(self._channels, 0)


def ride_gain(points: Sequence[RidePointAt], start: int, end: int) -> NDArray[np.float64]:
    """The ride's gain over frames [start, end), shape (end - start,)."""
    gain = np.empty(end - start)
    at = start
    for first, second in _lines(points):
        stop = end if second is None else min(end, second.frame)
        if stop <= at:
            continue
        slope_db, along = 0.0, 0
        if first is not None and second is not None and second.frame > first.frame:
            slope_db, along = (
                (second.gain_db - first.gain_db) / (second.frame - first.frame),
                at - first.frame,
            )
        anchor = first or second
        assert anchor is not None
        gain[at - start : stop - start] = line_gain(along, stop - at, anchor.gain_db, slope_db)
        at = stop
    return gain


def _lines(points: Sequence[RidePointAt]) -> list[tuple[RidePointAt | None, RidePointAt | None]]:
    """Each stretch of the ride by its two ends; None where it runs on to the start or the end."""
    ends: list[RidePointAt | None] = [None, *points, None]
    return list(pairwise(ends))
