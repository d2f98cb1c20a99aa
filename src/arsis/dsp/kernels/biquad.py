"""Second-order sections: `biquad_cascade` of biquad.c."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block

from .library import I64, kernel, reads, writes

_cascade = kernel(
    "biquad_cascade", reads(ndim=2), writes(ndim=2), I64, I64, reads(ndim=2), I64, writes(ndim=3)
)

Sections = NDArray[np.float64]


def rest_state(channels: int, sections: int) -> NDArray[np.float64]:
    """The state of a cascade that has heard nothing, (channels, sections, 2)."""
    return np.zeros((channels, sections, 2))


def cascade(block: Block, sections: Sections, state: NDArray[np.float64]) -> Block:
    """Run `block` through every section, one after another.

    sections: (n, 5), rows b0 b1 b2 a1 a2 with a0 = 1. state: (channels, n, 2), updated in place, so
    that the next block goes on from this one. Transposed direct form II: Oppenheim and Schafer,
    Discrete-Time Signal Processing, section 6.3.3.
    """
    channels, frames = block.shape
    if sections.shape[1:] != (5,) or state.shape != (channels, len(sections), 2):
        raise ValueError(f"sections {sections.shape} and state {state.shape} do not fit {channels} channels")
    if len(sections) == 0:
        return block.copy()
    out = np.empty((channels, frames))
    _cascade(np.ascontiguousarray(block), out, channels, frames, sections, len(sections), state)
    return out
