"""Processors one after another."""

from __future__ import annotations

from collections.abc import Sequence

from arsis.audio import Block
from arsis.settings import Processor

from .base import is_neutral
from .lag import Lag
from .lead import Hand
from .routing import routed
from .sections import joined


class ChainRunner:
    """A chain in motion. `latency` is the sum of its links', or more when asked to wait for others.

    hand: whether its level-dependent links lead or follow; neither when None.
    """

    def __init__(
        self,
        chain: Sequence[Processor],
        rate_hz: int,
        channels: int,
        *,
        at_least_latency: int = 0,
        hand: Hand | None = None,
    ) -> None:
        working = [settings for settings in chain if not is_neutral(settings)]
        self._links = joined(routed(settings, rate_hz, channels, hand) for settings in working)
        own = sum(link.latency for link in self._links)
        self.latency = max(own, at_least_latency)
        self._wait = Lag(self.latency - own, channels)

    def process(self, block: Block) -> Block:
        for link in self._links:
            block = link.process(block)
        return self._wait.process(block)


def is_neutral_chain(chain: Sequence[Processor]) -> bool:
    """Whether the whole chain leaves every sample as it is."""
    return all(is_neutral(settings) for settings in chain)
