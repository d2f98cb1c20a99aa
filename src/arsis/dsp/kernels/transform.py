"""The spectra of many real signals of one length."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from .library import I64, kernel, reads, room, writes

MOST_PARTS = 8

Floats = NDArray[np.float32]

_transforms = kernel(
    "transforms",
    reads(np.float32, 1), I64, I64, I64, reads(np.float32, 1), reads(np.int64, 1), reads(np.float32, 1),
    I64, I64, I64, writes(np.float32, 2), writes(np.float32, 1),
)  # fmt: skip


def transforms(
    x: Floats, hop: int, window: Floats, places: NDArray[np.int64], turns: Floats, out: Floats, parts: int
) -> None:
    """x: the samples of all signals, `hop` apart. window: (samples,). places: (size,), of every two samples.
    turns: of `dsp.transform`. out: (signals, 2 bins), written; the bins a multiple of 4. parts: of which the
    size is made, of 4^n numbers each."""
    size, (signals, bins) = len(places), (len(out), out.shape[1] // 2)
    quarter = size // parts
    if not 0 < parts <= MOST_PARTS or size != parts * quarter or quarter & (quarter - 1) or quarter % 3 != 1:
        raise ValueError(f"a size of {size} is not made of {parts} powers of four")
    if bins % 4 or out.shape[1] != 2 * bins or bins > size or not 0 < len(window) <= 2 * size:
        raise ValueError("the bins or the window do not fit the size")
    if signals and (hop < 1 or len(x) < (signals - 1) * hop + len(window)):
        raise ValueError(f"{len(x)} samples do not fit {signals} signals")
    if places.min() < 0 or places.max() >= size or len(turns) != 2 * quarter - 8 + 2 * parts * size:
        raise ValueError("the places or the turns do not fit the size")
    _transforms(x, signals, hop, len(window), window, places, turns, quarter, parts, bins, out, room(size))
