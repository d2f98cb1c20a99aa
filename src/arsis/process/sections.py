"""A cascade of second-order sections in motion."""

from __future__ import annotations

from arsis.audio import Block
from arsis.dsp.kernels import biquad


class SectionRunner:
    """Any cascade of second-order sections, (n, 5) rows b0 b1 b2 a1 a2."""

    latency = 0

    def __init__(self, sections: biquad.Sections, channels: int) -> None:
        self._sections = sections
        self._state = biquad.rest_state(channels, len(sections))

    def process(self, block: Block) -> Block:
        return biquad.cascade(block, self._sections, self._state)
