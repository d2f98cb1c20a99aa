"""How far many signals agree with one template, at the best of many shifts."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from .library import I64, kernel, reads, room, writes

QUARTERS = (256, 1024, 4096)  # of the sizes of transform that there are

Floats = NDArray[np.float32]

_agreements = kernel(
    "agreements",
    reads(np.float32, 3), I64, I64, reads(np.float32, 3), reads(np.int64, 2), reads(np.float32, 1),
    I64, I64, I64, writes(np.float32, 2), writes(np.float32, 1),
)  # fmt: skip


def agreements(
    x: Floats, factors: Floats, places: NDArray[np.int64], turns: Floats, out: Floats,
    *, quarter: int, pairs: int, most: int,
) -> None:  # fmt: skip
    """x: (signals, bins, 2); the bins a multiple of 4. factors: (bins, 2, 2). places: (bins, 2). turns: of
    `dsp.agreement`. out: (signals, 4), written: the best shift, and the values before, there and after it."""
    signals, bins, _ = x.shape
    if quarter not in QUARTERS or bins % 4 or x.shape[2] != 2:
        raise ValueError("the size or the bins do not fit the kernel")
    if factors.shape != (bins, 2, 2) or places.shape != (bins, 2) or out.shape != (signals, 4):
        raise ValueError("the factors, the places or the result do not fit the bins or the signals")
    if places.min(initial=0) < 0 or places.max(initial=0) >= 2 * quarter:
        raise ValueError("the places do not fit the size")
    if not 0 < most < 2 * pairs <= quarter:
        raise ValueError("the shifts do not fit the kernel")
    if turns.shape != (2 * quarter - 8 + 4 * pairs,):
        raise ValueError("the turns do not fit the kernel")
    _agreements(
        x, signals, bins, factors, places, turns, quarter, pairs, most, out, room(2 * quarter + 2 * pairs)
    )
