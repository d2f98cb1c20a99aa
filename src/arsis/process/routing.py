"""Which part of a signal a processor works on, and how much of the result is used.

Every route adds to the dry signal what the processor changed, so that whatever the processor leaves
alone passes bit for bit, in mid and side as well.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from arsis.audio import Block
from arsis.errors import PlanError

from .base import Runner, Through, drain, is_neutral, prepare
from .lag import Lag

# What is taken from left and right, and with which sign the change goes back to each.
_ROUTES = {
    "mid": ((0.5, 0.5), (1.0, 1.0)),
    "side": ((0.5, -0.5), (1.0, -1.0)),
    "left": ((1.0, 0.0), (1.0, 0.0)),
    "right": ((0.0, 1.0), (0.0, 1.0)),
}


def routed(settings: Any, rate_hz: int, channels: int) -> Runner:
    """A runner for `settings` that honours its `channel` and `mix`; straight through when neutral.

    Raises PlanError for a channel that the signal does not have.
    """
    if is_neutral(settings):
        return Through()
    channel = getattr(settings, "channel", "stereo")
    if channels == 1 and channel == "mid":
        channel = "stereo"
    if channel == "stereo":
        return _blended(settings, rate_hz, channels)
    if channels != 2:
        raise PlanError(f"{settings.kind}: channel {channel!r} needs a stereo mix, this one has {channels} channel(s)")
    return _Route(_blended(replace(settings, channel="stereo"), rate_hz, 1), *_ROUTES[channel])


def apply(settings: Any, block: Block, rate_hz: int) -> Block:
    """Process a whole recording at once; the result is aligned with `block` and as long."""
    return drain(routed(settings, rate_hz, block.shape[0]), block)


def _blended(settings: Any, rate_hz: int, channels: int) -> Runner:
    mix = getattr(settings, "mix", 1.0)
    runner = prepare(settings, rate_hz, channels)
    return runner if mix == 1.0 else _Blend(runner, mix, channels)


class _Blend:
    """Dry and wet in one phase: the dry signal waits for the wet one."""

    def __init__(self, wet: Runner, mix: float, channels: int) -> None:
        self.latency = wet.latency
        self._wet, self._mix = wet, mix
        self._dry = Lag(wet.latency, channels)

    def process(self, block: Block) -> Block:
        dry = self._dry.process(block)
        return dry + self._mix * (self._wet.process(block) - dry)


class _Route:
    """One signal taken out of two, processed, and its change added back."""

    def __init__(self, inner: Runner, take: tuple[float, float], give: tuple[float, float]) -> None:
        self.latency = inner.latency
        self._inner, self._take, self._give = inner, take, give
        self._dry, self._taken = Lag(inner.latency, 2), Lag(inner.latency, 1)

    def process(self, block: Block) -> Block:
        taken = (self._take[0] * block[0] + self._take[1] * block[1])[np.newaxis]
        change = self._inner.process(taken)[0] - self._taken.process(taken)[0]
        dry = self._dry.process(block)
        return np.stack([dry[0] + self._give[0] * change, dry[1] + self._give[1] * change])
