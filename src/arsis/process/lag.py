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
        first = min(block.shape[1], self.latency - self._at)
        self._swap(block[:, :first], out[:, :first])
        rest = min(block.shape[1] - first, self.latency - first)
        self._swap(block[:, first : first + rest], out[:, first : first + rest])
        done = first + rest
        if done < block.shape[1]:  # the whole ring has turned over: what is left waits in the block itself
            out[:, done:] = block[:, : block.shape[1] - done]
            self._held[:] = block[:, block.shape[1] - self.latency :]
            self._at = 0
        return out

    def _swap(self, new: Block, old: Block) -> None:
        frames = new.shape[1]
        old[:] = self._held[:, self._at : self._at + frames]
        self._held[:, self._at : self._at + frames] = new
        self._at = (self._at + frames) % self.latency
