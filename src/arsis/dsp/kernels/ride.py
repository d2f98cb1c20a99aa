"""A drawn ride as gain: level linear in dB along a line."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from .library import F64, I64, kernel, writes

_ride = kernel("arsis_ride", I64, I64, F64, F64, writes(np.float64, 1))


def line_gain(first: int, frames: int, start_db: float, slope_db: float) -> NDArray[np.float64]:
    """Gain, shape (frames,), at `first`, `first + 1` … frames along a line from `start_db`."""
    gain = np.empty(frames)
    _ride(first, frames, start_db, slope_db, gain)
    return gain
