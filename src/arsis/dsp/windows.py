"""Windows for spectra and for the design of interpolators."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray


def hann(frames: int) -> NDArray[np.float64]:
    """The periodic Hann window, for spectra: shifted copies at half its length sum to one."""
    return 0.5 - 0.5 * np.cos(2.0 * np.pi * np.arange(frames) / frames)


def kaiser_at(position: NDArray[np.float64], half_width: float, beta: float) -> NDArray[np.float64]:
    """The Kaiser window around zero, read at any positions; zero outside ±half_width.

    Kaiser and Schafer, "On the use of the I0-sinh window for spectrum analysis", IEEE Trans. ASSP 28
    (1980), eq. 4 (from memory).
    """
    inside = np.maximum(0.0, 1.0 - (position / half_width) ** 2)
    return np.where(np.abs(position) <= half_width, np.i0(beta * np.sqrt(inside)) / np.i0(beta), 0.0)
