"""An independent 16-times true-peak meter, sharing nothing with the limiter."""

from __future__ import annotations

import numpy as np
from scipy.signal import firwin, resample_poly

from arsis.audio import Block

OVER = 16


def kernel_16(taps_per_phase: int = 256, beta: float = 10.0, cutoff: float = 1.0) -> np.ndarray:
    """A Kaiser-windowed sinc for 16-times oversampling, `taps_per_phase` input samples long."""
    return firwin(taps_per_phase * OVER + 1, cutoff / OVER, window=("kaiser", beta))


def true_peak(block: Block, kernel: np.ndarray | None = None) -> float:
    """The greatest absolute value on the 16-times grid, silence before and after."""
    kernel = kernel_16() if kernel is None else kernel
    padded = np.pad(block, ((0, 0), (300, 300)))
    over = resample_poly(padded, OVER, 1, axis=1, window=kernel)
    return max(float(np.abs(over).max()), float(np.abs(block).max(initial=0.0)))


def true_peak_dbtp(block: Block, kernel: np.ndarray | None = None) -> float:
    peak = true_peak(block, kernel)
    return 20 * float(np.log10(peak)) if peak > 0.0 else -np.inf
