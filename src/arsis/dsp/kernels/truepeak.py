"""The largest magnitude between samples, up to given frames."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block

from .library import I64, kernel, reads, writes

LONG_HALF = 32
SHORT_HALF = 5
REACH = 35  # frames to each side that a point depends on
HISTORY = 2 * REACH
FILTERS = LONG_HALF + 8 * SHORT_HALF + 4  # half-way taps, even and odd inner ones, the limits

Floats = NDArray[np.float32]

_peaks = kernel(
    "true_peaks",
    reads(ndim=2), I64, I64, reads(np.int64, 1), I64, reads(np.float32, 1),
    writes(np.float32, 2), writes(np.float32, 1), writes(np.float32, 1),
)  # fmt: skip


def true_peaks(
    x: Block, ends: NDArray[np.int64], filters: Floats, history: Floats, running: Floats, out: Floats
) -> None:
    """The largest magnitude up to each of `ends`; what follows stays in `history` and `running`.

    x: (channels, frames). ends: rising, in (0, frames], counting frames heard, which are REACH late.
    filters: from `dsp.truepeak.interpolator`. history: (channels, HISTORY). running: (1,). out: (ends,).
    """
    if filters.shape != (FILTERS,) or history.shape != (x.shape[0], HISTORY) or running.shape != (1,):
        raise ValueError("the filters or the state do not fit the kernel")
    if out.shape != ends.shape or (ends.size and ends[-1] > x.shape[1]):
        raise ValueError(f"{ends.size} ends do not fit {x.shape[1]} frames or the result {out.shape}")
    _peaks(x, x.shape[0], x.shape[1], ends, ends.size, filters, history, running, out)
