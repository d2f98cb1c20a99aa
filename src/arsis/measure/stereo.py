"""Levels of the plain signal, and how its two channels stand to each other."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from arsis.audio import Block
from arsis.dsp.kernels.levels import ROWS, STATE_SIZE, level_sums
from arsis.units import gain_to_db, power_to_db

from .cuts import Cuts, GivenCuts
from .series import Series


@dataclass(frozen=True, slots=True)
class Levels:
    """Sums over a stretch of `frames` frames: squares, product and plain sums of the channels, and the
    largest sample. One channel counts as both."""

    channels: int
    frames: int
    left_square: float
    right_square: float
    product: float
    left_sum: float
    right_sum: float
    sample_peak: float

    @property
    def sample_peak_dbfs(self) -> float:
        return gain_to_db(self.sample_peak)

    @property
    def rms_dbfs(self) -> float:
        """Root mean square over frames and channels, re full scale 1.0: a full-scale sine reads -3.01."""
        return power_to_db((self.left_square + self.right_square) / max(1, 2 * self.frames))

    @property
    def correlation(self) -> float | None:
        """Product over the root of the squares, -1 to 1; None for one channel, or a silent one."""
        if self.channels == 1 or self.left_square == 0.0 or self.right_square == 0.0:
            return None
        # In this order equal channels give exactly one, however loud or quiet.
        relation = self.product / self.left_square * math.sqrt(self.left_square / self.right_square)
        return min(1.0, max(-1.0, relation))

    @property
    def width_db(self) -> float:
        """Level of the side (left - right) less that of the mid (left + right); -inf without any side."""
        both = self.left_square + self.right_square
        mid, side = max(0.0, both + 2.0 * self.product), max(0.0, both - 2.0 * self.product)
        if side == 0.0:
            return -math.inf
        return power_to_db(side / mid) if mid > 0.0 else math.inf

    @property
    def balance_db(self) -> float | None:
        """Level of the left less that of the right; None where one is silent."""
        if self.left_square == 0.0 or self.right_square == 0.0:
            return None
        return power_to_db(self.left_square) - power_to_db(self.right_square)

    @property
    def dc_offset(self) -> tuple[float, ...]:
        """Mean of each channel, full scale 1.0."""
        sums = (self.left_sum, self.right_sum)[: self.channels]
        return tuple(total / max(1, self.frames) for total in sums)


class LevelMeter:
    """Levels of a stream, from cut to cut."""

    def __init__(self, channels: int, cuts: Cuts | None = None) -> None:
        self._channels = channels
        self._cuts = cuts or GivenCuts(())
        self._state = np.zeros(STATE_SIZE)
        self._position = 0
        self._ends = Series(np.empty(0, dtype=np.int64))
        self._rows = Series(np.empty((0, ROWS)))

    def add(self, block: Block) -> None:
        """Hears the next frames."""
        end = self._position + block.shape[1]
        ends = self._cuts.take(self._position, end)
        rows = np.empty((ends.size, ROWS))
        level_sums(block, ends, self._state, rows)
        self._rows.append(rows)
        self._ends.append(ends + self._position)
        self._position = end

    def pieces(self) -> Block:
        """(pieces, 8): frames, squares of left and right, product, sums, largest magnitudes of the stretch
        from each cut to the next; the last is what follows the last cut so far."""
        last = np.empty((1, ROWS))
        # Cut behind a frame of silence, which adds nothing to any sum.
        level_sums(np.zeros((self._channels, 1)), np.array([1]), self._state.copy(), last)
        edges = np.concatenate([[0], self._ends.whole(), [self._position]])
        frames = np.diff(edges).astype(np.float64)
        return np.column_stack([frames, np.concatenate([self._rows.whole(), last])])

    def levels(self) -> Levels:
        """Levels of all that has been heard."""
        return levels_of(self.pieces(), self._channels)


def levels_of(pieces: Block, channels: int) -> Levels:
    """Levels of some pieces of a LevelMeter taken together."""
    sums, peaks = pieces[:, :6].sum(axis=0), pieces[:, 6:]
    return Levels(
        channels=channels,
        frames=int(sums[0]),
        left_square=float(sums[1]),
        right_square=float(sums[2]),
        product=float(sums[3]),
        left_sum=float(sums[4]),
        right_sum=float(sums[5]),
        sample_peak=float(peaks.max(initial=0.0)),
    )
