"""From level to gain: `compressor_gains` of compressor.c."""

from __future__ import annotations

from dataclasses import astuple, dataclass

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block

from .library import I64, kernel, reads, writes

_gains = kernel("compressor_gains", reads(ndim=2), I64, I64, reads(ndim=1), writes(ndim=1), writes(ndim=1))

Gains = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Curve:
    """The static curve and the ballistics, in the order the kernel reads them.

    attack, release: what is left of a difference after one frame. direction: −1 turns down what is
    above the threshold, +1 turns it up. most_db: the change goes no further than this.
    """

    threshold_db: float
    half_knee_db: float
    knee_scale: float
    slope: float
    most_db: float
    attack: float
    release: float
    direction: float
    offset_db: float


def rest_state() -> NDArray[np.float64]:
    """The state of a detector that has heard nothing."""
    return np.zeros(1)


def gains(heard: Block, curve: Curve, state: NDArray[np.float64]) -> Gains:
    """Gain for each frame of `heard`, whose loudest channel counts; (frames,).

    state: (1,), the change in dB that the last frame reached, updated in place.
    """
    channels, frames = heard.shape
    if channels < 1 or state.shape != (1,):
        raise ValueError(
            f"a detector needs a channel and a state of one number, got {channels} and {state.shape}"
        )
    out = np.empty(frames)
    _gains(np.ascontiguousarray(heard), channels, frames, np.array(astuple(curve)), state, out)
    return out
