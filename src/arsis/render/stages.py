"""Stages of a render: each takes blocks in order and gives blocks in order, in place.

A stage may hold sound back (latency, look-ahead) and gives the rest when flushed; what has come out
by then lines up with what went in, frame for frame.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

import numpy as np

from arsis.audio import Block, silence
from arsis.process import Runner


class Stage(Protocol):
    def push(self, block: Block) -> Block: ...

    def flush(self) -> Block: ...


class InPlace:
    """A runner whose latency is taken out: the first `latency` frames are dropped, the last fed."""

    def __init__(self, runner: Runner, channels: int) -> None:
        self._runner, self._channels = runner, channels
        self._drop = runner.latency

    def push(self, block: Block) -> Block:
        out = self._runner.process(block)
        dropped = min(self._drop, out.shape[1])
        self._drop -= dropped
        return np.ascontiguousarray(out[:, dropped:])

    def flush(self) -> Block:
        return self.push(silence(self._channels, self._runner.latency))


class Gain:
    """One level for everything."""

    def __init__(self, gain: float, channels: int) -> None:
        self._gain, self._channels = gain, channels

    def push(self, block: Block) -> Block:
        return block if self._gain == 1.0 else block * self._gain

    def flush(self) -> Block:
        return silence(self._channels, 0)


class Line:
    """Stages one after another, as one."""

    def __init__(self, stages: Sequence[Stage], channels: int) -> None:
        self._stages, self._channels = list(stages), channels

    def push(self, block: Block) -> Block:
        for stage in self._stages:
            block = stage.push(block)
        return block

    def flush(self) -> Block:
        """Flushes each stage in turn, passing what it gives through the ones behind it."""
        tails = [silence(self._channels, 0)]
        for i, stage in enumerate(self._stages):
            tail = stage.flush()
            for later in self._stages[i + 1 :]:
                tail = later.push(tail)
            tails.append(tail)
        return np.concatenate(tails, axis=1)
