"""Decisions taken by one signal and followed by another (law 10).

What depends on level decides a gain from the signal that leads; a signal that follows is given the same
gain at the same frame. Everything else a chain does is linear, so that signals which add up to the one
that leads still do when both have been through.
"""

from __future__ import annotations

from collections import deque
from typing import Any, Protocol, TypeAlias, runtime_checkable

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block

from .base import Runner

# What a level-dependent runner decided over one block; its own matter what that holds.
Decision: TypeAlias = NDArray[np.float64]


@runtime_checkable
class LevelDependent(Runner, Protocol):
    """A runner that shows what it decides and does what another of its kind decided."""

    def process_with_gain(self, block: Block) -> tuple[Block, Decision]: ...

    def apply_gain(self, block: Block, gain: Decision) -> Block: ...


class Hand:
    """Of a signal that neither leads nor follows: it leaves everything as it is."""

    def runner(self, runner: Any) -> Any:
        """The runner to use in place of one that was just made."""
        return runner

    def law(self, correlation: float) -> float:
        """The correlation that a join's fade follows."""
        return correlation


class Lead(Hand):
    """Of the signal that leads: whatever is decided is kept until each of its `followers` has followed."""

    def __init__(self, followers: int = 1) -> None:
        self.decided: list[list[deque[Decision]]] = []
        self.laws: list[deque[float]] = [deque() for _ in range(followers)]

    def runner(self, runner: Any) -> Any:
        if not isinstance(runner, LevelDependent):
            return runner
        self.decided.append([deque() for _ in self.laws])
        return _Leading(runner, self.decided[-1])

    def law(self, correlation: float) -> float:
        for kept in self.laws:
            kept.append(correlation)
        return correlation


class Follow(Hand):
    """Of the signal that follows, the `which`th: its runners are made in the leader's order, and it gets
    blocks of the leader's lengths, each after the leader has had its own."""

    def __init__(self, lead: Lead, which: int = 0) -> None:
        self._lead, self._which, self._made = lead, which, 0

    def runner(self, runner: Any) -> Any:
        if not isinstance(runner, LevelDependent):
            return runner
        self._made += 1
        return _Following(runner, self._lead.decided[self._made - 1][self._which])

    def law(self, correlation: float) -> float:
        return self._lead.laws[self._which].popleft()


class _Leading:
    """Decides, and leaves word of it."""

    def __init__(self, inner: LevelDependent, decided: list[deque[Decision]]) -> None:
        self.latency = inner.latency
        self._inner, self._decided = inner, decided

    def process(self, block: Block) -> Block:
        return self.process_with_gain(block)[0]

    def process_with_gain(self, block: Block) -> tuple[Block, Decision]:
        out, gain = self._inner.process_with_gain(block)
        for kept in self._decided:
            kept.append(gain)
        return out, gain


class _Following:
    """Does what was decided."""

    def __init__(self, inner: LevelDependent, decided: deque[Decision]) -> None:
        self.latency = inner.latency
        self._inner, self._decided = inner, decided

    def process(self, block: Block) -> Block:
        return self.process_with_gain(block)[0]

    def process_with_gain(self, block: Block) -> tuple[Block, Decision]:
        gain = self._decided.popleft()
        return self._inner.apply_gain(block, gain), gain
