"""A whole-frame delay line, for bringing late and early signals together."""

from __future__ import annotations

import numpy as np

from arsis.audio import Block, silence


class Lag:
    """Gives back what came in `frames` frames ago."""

    def __init__(self, frames: int, channels: int) -> None:
        self.latency = frames
        self._held = silence(channels, frames)

    def process(self, block: Block) -> Block:
        if self.latency == 0:
            return block
        joined = np.concatenate([self._held, block], axis=1)
        self._held = joined[:, block.shape[1] :].copy()
        return joined[:, : block.shape[1]]
