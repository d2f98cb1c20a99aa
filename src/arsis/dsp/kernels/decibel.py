"""log2 and exp2 with the same bits on every machine, and decibels made of them.

numpy's own differ in the last bit from one processor to the next; these do not. Errors: decibel.h.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from .library import I64, kernel, reads, writes

DB_PER_LOG2 = 6.020599913279624  # 20 lg 2

_log2 = kernel("decibel_log2", reads(), I64, writes())
_exp2 = kernel("decibel_exp2", reads(), I64, writes())


def log2(x: NDArray[np.float64]) -> NDArray[np.float64]:
    """Logarithm to base 2 of positive numbers; 0 gives about −1023."""
    y = np.empty_like(x)
    _log2(x, x.size, y)
    return y


def exp2(x: NDArray[np.float64]) -> NDArray[np.float64]:
    """2 to the power of `x`, which is held within ±1000."""
    y = np.empty_like(x)
    _exp2(x, x.size, y)
    return y


def gains_to_db(gains: NDArray[np.float64]) -> NDArray[np.float64]:
    """Levels in dB of amplitude ratios; 0 gives about −6158 dB."""
    return DB_PER_LOG2 * log2(gains)


def db_to_gains(levels_db: NDArray[np.float64]) -> NDArray[np.float64]:
    """Amplitude ratios of levels in dB, which are held within ±6020."""
    return exp2(levels_db * (1.0 / DB_PER_LOG2))
