"""K-weighted energy between given frames."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block

from .library import I64, kernel, reads, writes

STATE_SIZE = 10

_energy = kernel(
    "kweighted_energy",
    reads(ndim=2), I64, I64, reads(np.int64, 1), I64, reads(ndim=2), writes(ndim=1), writes(ndim=2),
)  # fmt: skip


def kweighted_energy(
    x: Block, ends: NDArray[np.int64], coefficients: Block, state: NDArray[np.float64], out: Block
) -> None:
    """Sums of squares of the K-weighted channels up to each of `ends`; what follows stays in `state`.

    x: (1 or 2, frames). ends: rising, in (0, frames]. coefficients: (2, 5), rows b0 b1 b2 a1 a2.
    state: (STATE_SIZE,), updated. out: (ends, 2), written; for one channel both columns are alike.
    """
    if x.shape[0] not in (1, 2) or coefficients.shape != (2, 5) or state.shape != (STATE_SIZE,):
        raise ValueError("the sound, the coefficients or the state do not fit the kernel")
    if out.shape != (ends.size, 2) or (ends.size and ends[-1] > x.shape[1]):
        raise ValueError(f"{ends.size} ends do not fit {x.shape[1]} frames or the result {out.shape}")
    _energy(x, x.shape[0], x.shape[1], ends, ends.size, coefficients, state, out)
