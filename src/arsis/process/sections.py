"""A cascade of second-order sections in motion."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from arsis.audio import Block
from arsis.dsp.kernels import biquad

from .base import Runner


class SectionRunner:
    """Any cascade of second-order sections, (n, 5) rows b0 b1 b2 a1 a2."""

    latency = 0

    def __init__(self, sections: biquad.Sections, channels: int) -> None:
        self.sections = sections
        self._channels = channels
        self._state = biquad.rest_state(channels, len(sections))

    def process(self, block: Block) -> Block:
        return biquad.cascade(block, self.sections, self._state)

    def before(self, other: SectionRunner) -> SectionRunner:
        """This cascade and another behind it as one, at rest."""
        return SectionRunner(np.concatenate([self.sections, other.sections]), self._channels)


def joined(links: Iterable[Runner]) -> list[Runner]:
    """Neighbouring cascades as one: fewer trips through memory, and the same bits (see biquad.c)."""
    out: list[Runner] = []
    for link in links:
        if out and isinstance(link, SectionRunner) and isinstance(out[-1], SectionRunner):
            out[-1] = out[-1].before(link)
        else:
            out.append(link)
    return out
