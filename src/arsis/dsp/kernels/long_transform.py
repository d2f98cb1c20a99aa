"""The spectra of long real signals, in double precision."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from .library import I64, kernel, reads, writes

LEAST = 32

Floats = NDArray[np.float64]

_long_transforms = kernel(
    "long_transforms",
    reads(ndim=2), I64, reads(ndim=1), I64, reads(np.int64, 1), reads(ndim=1), I64,
    writes(np.complex128, 2), writes(ndim=1), writes(ndim=1),
)  # fmt: skip


def long_transforms(
    x: Floats, window: Floats, places: NDArray[np.int64], turns: Floats, parts: int,
    out: NDArray[np.complex128], power: Floats,
) -> None:  # fmt: skip
    """x: (signals, 2 size), a power of two from LEAST on. window: (2 size,). places: (size / 4,), of every 8
    samples. turns: of `dsp.long_transform`. parts: of which the places are made, of 4^n each.
    out: (signals, size + 1), written. power: (size + 1,), added to."""
    signals, samples = x.shape
    size, quarter = samples // 2, samples // 8
    part = quarter // parts if parts in (1, 2) else 0
    if samples < LEAST or part * parts * 8 != samples or part & (part - 1) or part % 3 != 1:
        raise ValueError(f"signals of {samples} samples are not made of {parts} powers of four")
    if window.size != samples or out.shape != (signals, size + 1) or power.size != size + 1:
        raise ValueError("the window or the results do not fit the signals")
    if places.size != quarter or places.min() < 0 or places.max() >= quarter:
        raise ValueError("the places do not fit the size")
    if turns.size != 2 * part - 8 + 2 * part * (parts - 1) + 6 * quarter + 2 * size:
        raise ValueError("the turns do not fit the size")
    _long_transforms(x, signals, window, size, places, turns, parts, out, power, np.empty(4 * size + 16))
