"""What a smooth curve adds to a signal: `saturate_added` of saturate.c."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block

from .library import I64, kernel, reads, writes

MOST_TAPS = 48  # as in saturate.c
MOST_REACH = 96

_added = kernel(
    "saturate_added",
    reads(ndim=2),
    I64,
    I64,
    I64,
    reads(ndim=1),
    reads(np.float32, ndim=2),
    reads(np.int64, ndim=1),
    I64,
    writes(ndim=2),
)
_added_like = kernel(
    "saturate_added_like",
    reads(ndim=2),
    reads(ndim=2),
    I64,
    I64,
    I64,
    reads(ndim=1),
    reads(np.float32, ndim=2),
    reads(np.int64, ndim=1),
    I64,
    writes(ndim=2),
)


def reach(reaches: NDArray[np.int64]) -> int:
    """Frames that the kernel needs on either side of those it makes."""
    up_and_down = sum(2 * (int(taps) // phases + 1) for taps, phases in zip(reaches, (1, 2), strict=False))
    return up_and_down + 3


def added(
    padded: Block, shape: NDArray[np.float64], taps: NDArray[np.float32], reaches: NDArray[np.int64]
) -> Block:
    """What the curve adds to `padded` without its margins of `reach(reaches)` frames on both sides.

    shape: k, bias and √(1 + k bias²) of the curve. taps: (stages, MOST_TAPS), one side of each half-band
    filter, outermost first, the slowest stage first. reaches: (stages,), how many of them count.
    """
    frames, margin = _checked(padded, shape, taps, reaches)
    out = np.empty((padded.shape[0], frames))
    x = np.ascontiguousarray(padded)
    _added(x, padded.shape[0], frames, margin, shape, taps, reaches, len(reaches), out)
    return out


def added_like(
    padded: Block,
    lead: Block,
    shape: NDArray[np.float64],
    taps: NDArray[np.float32],
    reaches: NDArray[np.int64],
) -> Block:
    """The same for a signal that is given the curve's gain of another, of the same shape."""
    frames, margin = _checked(padded, shape, taps, reaches)
    if lead.shape != padded.shape:
        raise ValueError(f"{padded.shape} cannot follow {lead.shape}")
    out = np.empty((padded.shape[0], frames))
    own, x = np.ascontiguousarray(padded), np.ascontiguousarray(lead)
    _added_like(own, x, padded.shape[0], frames, margin, shape, taps, reaches, len(reaches), out)
    return out


def _checked(
    padded: Block, shape: NDArray[np.float64], taps: NDArray[np.float32], reaches: NDArray[np.int64]
) -> tuple[int, int]:
    """Frames and margin of a call. Raises ValueError where its parts do not fit each other."""
    wide, stages, margin = padded.shape[1], len(reaches), reach(reaches)
    if shape.shape != (3,) or stages > 2 or taps.shape != (stages, MOST_TAPS) or wide < 2 * margin:
        raise ValueError(f"{stages} stages with taps {taps.shape} do not fit a block of {wide} frames")
    if margin > MOST_REACH or np.any(reaches > MOST_TAPS) or np.any(reaches < 1):
        raise ValueError(f"reaches {reaches} are outside what the kernel holds")
    return wide - 2 * margin, margin
