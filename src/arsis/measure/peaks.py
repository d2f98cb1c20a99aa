"""True peak: ITU-R BS.1770-5, Annex 2, with 16 points a sample at every rate."""

from __future__ import annotations

from copy import deepcopy

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block
from arsis.dsp.kernels.truepeak import HISTORY, REACH, true_peaks
from arsis.dsp.truepeak import interpolator

from .cuts import Cuts, GivenCuts
from .series import Series

# Single precision may round a sample down by this much at most: the reading must not lie below the sample.
ROUNDING = 1.0 + 2.0**-23


class TruePeakMeter:
    """The largest magnitude of a stream between and on its samples, whole and from cut to cut.

    The stream is taken to be silent before it begins and after it ends. The points from a frame to the
    next belong to that frame.
    """

    def __init__(self, channels: int, cuts: Cuts | None = None) -> None:
        self._cuts = cuts or GivenCuts(())
        self._history = np.zeros((channels, HISTORY), dtype=np.float32)
        self._running = np.zeros(1, dtype=np.float32)
        self._position = -REACH  # of the frame whose points are heard next
        self._peaks = Series(np.empty(0, dtype=np.float32))

    def add(self, block: Block) -> None:
        """Hears the next frames."""
        end = self._position + block.shape[1]
        ends = self._cuts.take(self._position, end)
        peaks = np.empty(ends.size, dtype=np.float32)
        true_peaks(block, ends, interpolator(), self._history, self._running, peaks)
        self._position = end
        self._peaks.append(peaks)

    def peaks(self) -> NDArray[np.float64]:
        """The peak from each cut to the next, the last being what follows the last cut so far.

        What has been heard counts as the whole stream; more may be added afterwards.
        """
        tail = deepcopy(self)
        tail.add(np.zeros((self._history.shape[0], HISTORY)))
        pieces = np.concatenate([tail._peaks.whole(), tail._running]).astype(np.float64)
        return pieces * ROUNDING

    def peak(self) -> float:
        """The peak of the whole stream; 0 for silence."""
        return float(self.peaks().max())
