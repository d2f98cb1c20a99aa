"""A whole-frame delay line, for bringing late and early signals together."""

from __future__ import annotations

import numpy as np

from arsis.audio import Block, silence


class Lag:
    """Gives back what came in `frames` frames ago. A ring: the cost does not grow with the lag."""

    def __init__(self, frames: int, channels: int) -> None:
        self.latency = frames
        self._held = silence(channels, frames)
        self._at = 0

    def process(self, block: Block) -> Block:
        if self.latency == 0:
            return block
        out = np.empty_like(block, order="C")
        frames, done = block.shape[1], 0
        while done < frames:
            take = min(frames - done, self.latency - self._at)
            out[:, done : done + take] = self._held[:, self._at : self._at + take]
            self._held[:, self._at : self._at + take] = block[:, done : done + take]
            self._at = (self._at + take) % self.latency
            done += take
        return out
