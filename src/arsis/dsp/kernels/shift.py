"""Sound read at places between its frames."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from .library import F64, I64, kernel, reads, writes

_shift = kernel(
    "arsis_shift",
    reads(np.float64, 1),
    I64,
    I64,
    I64,
    F64,
    F64,
    reads(np.float64, 2),
    I64,
    I64,
    writes(np.float64, 1),
)


def read_between(
    x: NDArray[np.float64],
    x_first: int,
    first: int,
    frames: int,
    start: float,
    ratio: float,
    table: NDArray[np.float64],
) -> NDArray[np.float64]:
    """The signal at `start + ratio * i` for i in [first, first + frames), shape (frames,).

    x: one channel from frame `x_first`, covering every tap. table: (phases + 1, taps).
    """
    out = np.empty(frames)
    _shift(x, x_first, first, frames, start, ratio, table, table.shape[0] - 1, table.shape[1], out)
    return out
