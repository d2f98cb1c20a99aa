"""What a level-dependent processor hears, and the gain that follows from it.

Feed-forward, in decibels, the detector after the gain computer, smooth branching: D. Giannoulis,
M. Massberg, J. D. Reiss, "Digital Dynamic Range Compressor Design", J. Audio Eng. Soc. 60(6), 2012.
Branching was chosen over decoupled smoothing because its release lasts as long as the setting says;
decoupled, it lasts about release plus attack.
"""

from __future__ import annotations

import math

import numpy as np

from arsis.audio import Block
from arsis.dsp.kernels import compressor, decibel
from arsis.dsp.kernels.biquad import Sections, cascade
from arsis.dsp.kernels.biquad import rest_state as filter_at_rest
from arsis.dsp.kernels.compressor import Curve, Gains


def kept_each_frame(time_ms: float, rate_hz: int) -> float:
    """What is left of a difference after one frame: exp(−1 / (τ rate)), so that 1 − 1/e is done after τ."""
    return float(decibel.exp2(np.array([-math.log2(math.e) * 1000.0 / (time_ms * rate_hz)]))[0])


class Filter:
    """Second-order sections in motion."""

    def __init__(self, sections: Sections, channels: int) -> None:
        self._sections = sections
        self._state = filter_at_rest(channels, len(sections))

    def process(self, block: Block) -> Block:
        return cascade(block, self._sections, self._state)


class Detector:
    """Gain from the loudest channel, frame by frame."""

    def __init__(self, curve: Curve) -> None:
        self._curve = curve
        self._state = compressor.rest_state()

    def gains(self, heard: Block) -> Gains:
        """Gain for each frame of `heard`, as an amplitude ratio, (frames,)."""
        return compressor.gains(heard, self._curve, self._state)
