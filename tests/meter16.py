"""A 16-times true-peak meter that shares no code with the limiter: scipy's convolutions, a phase at a time.

The kernel is a windowed sinc many samples long, so that it reads what an ideal interpolator would up to a
few hundredths of half the rate. Meters differ only above that.
"""

from __future__ import annotations

import numpy as np
from scipy.signal import firwin, oaconvolve

from arsis.audio import Block

OVER = 16


def meter_kernel(taps: int = 256, beta: float = 10.0, cutoff: float = 1.0) -> np.ndarray:
    """A Kaiser-windowed sinc, `taps` samples of the signal long; `cutoff` in units of half the rate."""
    return firwin(taps * OVER + 1, cutoff / OVER, window=("kaiser", beta))


LONG = meter_kernel()
OTHERS = {
    "256 taps, beta 8": meter_kernel(256, 8.0),
    "256 taps, beta 14": meter_kernel(256, 14.0),
    "512 taps, beta 10": meter_kernel(512, 10.0),
    "cut off at 0.95": meter_kernel(256, 8.0, 0.95),
}


def true_peak_dbtp(block: Block, kernel: np.ndarray = LONG) -> float:
    """The greatest absolute value between and at the samples, with silence before and after."""
    phases = (OVER * kernel[None, phase::OVER] for phase in range(OVER))
    between = max(np.abs(oaconvolve(block, phase, axes=1)).max() for phase in phases)
    return 20.0 * float(np.log10(max(between, np.abs(block).max(), 1e-30)))
