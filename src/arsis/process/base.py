"""What a processor is when it runs, and the two questions every kind answers.

A kind answers by registering with `prepare` (how it runs) and `comes_to_nothing` (whether its settings
leave every sample as it is). Neither has to think of `channel` or `mix`, which `routing` sees to, nor of
`bypass`, which `is_neutral` does.
"""

from __future__ import annotations

from functools import singledispatch
from typing import Protocol

import numpy as np

from arsis.audio import Block
from arsis.settings import Processor


class Runner(Protocol):
    """A processor in motion: blocks of any length, in order; the sum of the parts is the whole.

    `process` returns a new array as long as `block`, late by `latency` frames, and never writes to
    `block`. A deep copy of a runner is a checkpoint: it goes on exactly as the original would.
    """

    latency: int

    def process(self, block: Block) -> Block: ...


@singledispatch
def prepare(settings: object, rate_hz: int, channels: int) -> Runner:
    """A runner for one processor over all `channels`, at one rate.

    Raises PlanError where the settings make no sense at this rate or for this many channels.
    """
    raise TypeError(f"no processor for {type(settings).__name__}")


@singledispatch
def comes_to_nothing(settings: object) -> bool:
    """Whether these settings leave every sample as it is when they run."""
    raise TypeError(f"no processor for {type(settings).__name__}")


def is_neutral(settings: Processor) -> bool:
    """Whether a processor leaves every sample as it is: the one place that knows of `bypass`."""
    return settings.bypass or comes_to_nothing(settings)


class Through:
    """Leaves every sample as it is."""

    latency = 0

    def process(self, block: Block) -> Block:
        return block


def drain(runner: Runner, block: Block) -> Block:
    """All of `block` through `runner`, aligned with it and as long."""
    padded = np.pad(block, ((0, 0), (0, runner.latency)))
    return runner.process(padded)[:, runner.latency :]
