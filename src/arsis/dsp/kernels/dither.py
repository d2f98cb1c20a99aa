"""Rounding to integers with triangular noise."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block

from .library import F64, I64, kernel, reads, writes

TAPS = 9  # of the longest error feedback; shorter ones are filled with zeros
NO_NOISE, FLAT, SHAPED = 0, 1, 2

_quantise = kernel(
    "dither_quantise",
    reads(np.float64, 2),
    I64,
    I64,
    F64,
    I64,
    reads(np.uint64, 1),
    I64,
    reads(np.uint8, 1),
    I64,
    reads(np.float64, 1),
    writes(np.float64, 2),
    writes(np.int32, 2),
    returns=I64,
)

_ALL_NOISY = np.zeros(0, np.uint8)


def quantise(
    block: Block,
    bits: int,
    kind: int,
    starts: NDArray[np.uint64],
    first_frame: int,
    exact: NDArray[np.uint8] | None,
    coefficients: NDArray[np.float64],
    errors: NDArray[np.float64],
    out: NDArray[np.int32],
) -> int:
    """Fills `out` with `block` in steps of 2^-(bits-1). Returns how many samples had to be clipped.

    starts: where each channel's noise begins, one word a channel. coefficients: (TAPS,).
    errors: (TAPS, 2), the past of the error feedback, carried on.
    """
    channels, frames = block.shape
    marks = _ALL_NOISY if exact is None else exact
    if channels not in (1, 2) or out.shape != block.shape or starts.shape != (channels,):
        raise ValueError("the arrays do not fit each other")
    if coefficients.shape != (TAPS,) or errors.shape != (TAPS, 2):
        raise ValueError("the state does not fit the kernel")
    if exact is not None and exact.shape != (frames,):
        raise ValueError(f"{exact.shape} marks for {frames} frames")
    scale = float(1 << (bits - 1))
    clipped = _quantise(
        block,
        channels,
        frames,
        scale,
        kind,
        starts,
        first_frame,
        marks,
        marks.size,
        coefficients,
        errors,
        out,
    )
    return int(clipped)
