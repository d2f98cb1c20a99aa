"""Which part of a signal a processor works on, and how much of the result is used.

Middle and sides: what the processor changed is added to the dry signal, so that whatever it leaves
alone passes bit for bit. Left or right: the processed channel takes the place of the dry one.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from arsis.audio import Block
from arsis.errors import PlanError

from .base import Runner, Through, drain, is_neutral, prepare
from .lag import Lag
from .lead import Hand

# The sign with which right counts in the signal, and with which the change goes back to right.
_RIGHT = {"mid": 1.0, "side": -1.0}
_INDEX = {"left": 0, "right": 1}


def routed(settings: Any, rate_hz: int, channels: int, hand: Hand | None = None) -> Runner:
    """A runner for `settings` that honours its `channel` and `mix`; straight through when neutral.

    Raises PlanError for a channel that the signal does not have.
    """
    if is_neutral(settings):
        return Through()
    channel = getattr(settings, "channel", "stereo")
    if channels == 1 and channel == "mid":
        channel = "stereo"
    if channel == "stereo":
        return _blended(settings, rate_hz, channels, hand)
    if channels != 2:
        raise PlanError(
            f"{settings.kind}: channel {channel!r} needs a stereo mix, this one has {channels} channel(s)"
        )
    inner = _blended(replace(settings, channel="stereo"), rate_hz, 1, hand)
    return _OneChannel(inner, _INDEX[channel]) if channel in _INDEX else _MidOrSide(inner, _RIGHT[channel])


def apply(settings: Any, block: Block, rate_hz: int) -> Block:
    """Process a whole recording at once; the result is aligned with `block` and as long."""
    return drain(routed(settings, rate_hz, block.shape[0]), block)


def _blended(settings: Any, rate_hz: int, channels: int, hand: Hand | None) -> Runner:
    mix = getattr(settings, "mix", 1.0)
    runner = (hand or Hand()).runner(prepare(settings, rate_hz, channels))
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


class _OneChannel:
    """Left or right processed, the other waiting for it."""

    def __init__(self, inner: Runner, index: int) -> None:
        self.latency = inner.latency
        self._inner, self._index = inner, index
        self._other = Lag(inner.latency, 1)

    def process(self, block: Block) -> Block:
        out = np.empty_like(block, order="C")
        mine, other = self._index, 1 - self._index
        out[mine] = self._inner.process(block[mine : mine + 1])[0]
        out[other] = self._other.process(block[other : other + 1])[0]
        return out


class _MidOrSide:
    """The half sum or difference of two channels, processed, and its change added back to both."""

    def __init__(self, inner: Runner, right: float) -> None:
        self.latency = inner.latency
        self._inner, self._right = inner, right
        self._dry, self._taken = Lag(inner.latency, 2), Lag(inner.latency, 1)

    def process(self, block: Block) -> Block:
        taken = 0.5 * (block[:1] + self._right * block[1:])
        change = (self._inner.process(taken) - self._taken.process(taken))[0]
        dry = self._dry.process(block)
        return np.stack([dry[0] + change, dry[1] + self._right * change])
