"""A stream as long windows that overlap, for what has to be seen with what lies round it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from arsis.audio import Block


@dataclass(frozen=True, slots=True)
class Window:
    """samples: (channels, frames) from frame `start` on. What lies in [first, last) of the stream is this
    window's to tell; the rest is there to be seen round it."""

    start: int
    samples: Block
    first: int
    last: int


class LongWindows:
    """Windows that are the same whatever the blocks. beside: frames on either side of what a window tells."""

    def __init__(self, channels: int, frames: int, beside: int) -> None:
        self._frames, self._beside = frames, beside
        self._held: list[Block] = [np.zeros((channels, 0))]
        self._start = self._count = self._told = 0

    def add(self, block: Block) -> Iterator[Window]:
        """The windows that `block` completes."""
        self._held.append(block)
        self._count += block.shape[1]
        while self._count >= self._frames:
            samples = np.concatenate(self._held, axis=1)
            last = self._start + self._frames - self._beside
            yield Window(self._start, samples[:, : self._frames], self._told, last)
            self._told, step = last, self._frames - 2 * self._beside
            self._held, self._start = [samples[:, step:]], self._start + step
            self._count -= step

    def finish(self) -> Iterator[Window]:
        """What is left."""
        samples = np.concatenate(self._held, axis=1)
        if self._start + samples.shape[1] > self._told:
            yield Window(self._start, samples, self._told, self._start + samples.shape[1])
