"""Sound read between its frames, from the formula: one sum for each of two phases, and the line between."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.float64]


def read_between(x: Numbers, x_first: int, at: Numbers, table: Numbers) -> Numbers:
    """x, whose first frame is `x_first`, at the places `at`, all of whose taps lie inside it.

    table: (phases + 1, taps).
    """
    taps, whole = table.shape[1], np.floor(at)
    phase = (at - whole) * (len(table) - 1)
    row = np.minimum(np.floor(phase).astype(int), len(table) - 2)
    first = whole.astype(int) - (taps // 2 - 1) - x_first
    around = x[first[:, np.newaxis] + np.arange(taps)]
    here, following = (np.sum(around * table[rows], axis=1) for rows in (row, row + 1))
    return here + (phase - row) * (following - here)
