"""Sums over spectra as their definition has them, in float64."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.floating]


def powers(samples: Floats, frames: int, hop: int, size: int) -> Floats:
    """Powers of every bin of Hann-windowed frames; those of a full-scale sine add up to 1/2."""
    window = 0.5 - 0.5 * np.cos(2.0 * np.pi * np.arange(size) / size)
    cuts = np.stack([samples[at * hop : at * hop + size] * window for at in range(frames)])
    return np.abs(np.fft.rfft(cuts.astype(np.float64))) ** 2 * 2.0 / (size * np.sum(window**2))


def compressed(power: Floats, steepness: float, least: float) -> Floats:
    """ln(1 + steepness |X| / (median of |X| + least))."""
    size = np.sqrt(power)
    return np.log1p(steepness * size / (np.median(size, axis=1, keepdims=True) + least))
