"""Sums and peaks of the plain signal between given frames."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block

from .library import I64, kernel, reads, writes

ROWS = 7
STATE_SIZE = 4 * ROWS + 1

_sums = kernel("level_sums", reads(ndim=2), I64, I64, reads(np.int64, 1), I64, writes(ndim=1), writes(ndim=2))


def level_sums(x: Block, ends: NDArray[np.int64], state: NDArray[np.float64], out: Block) -> None:
    """Sums over the frames up to each of `ends`; what follows stays in `state`.

    x: (1 or 2, frames). ends: rising, in (0, frames]. state: (STATE_SIZE,), updated.
    out: (ends, 7), written: left squared, right squared, left times right, left, right, and the largest
    magnitude of left and of right. One channel counts as both.
    """
    if x.shape[0] not in (1, 2) or state.shape != (STATE_SIZE,):
        raise ValueError("the sound or the state do not fit the kernel")
    if out.shape != (ends.size, ROWS) or (ends.size and ends[-1] > x.shape[1]):
        raise ValueError(f"{ends.size} ends do not fit {x.shape[1]} frames or the result {out.shape}")
    _sums(x, x.shape[0], x.shape[1], ends, ends.size, state, out)
