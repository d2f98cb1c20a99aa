"""Binding of limiter.c: the limiter's stages in one call."""

from __future__ import annotations

from dataclasses import astuple, dataclass

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block

from .library import I64, kernel, reads, writes

TICK = 8  # frames between two decisions
HOP = 128  # frames judged together
FINE_HALF = 256  # taps on either side of a fine interpolator
SIGHT = FINE_HALF + 8  # frames that a fine stage sees before and after a hop
COARSE_HALF = 16
COARSE_PHASES, FINE_PHASES = 8, 16
COARSE, FINE, FINE_AGAIN = 0, 1, 2  # what a stage measures: limiter.h
SCALE = 2.0**30  # whole steps to a gain of 1: lookahead.c

_memory = kernel("limiter_memory", reads(np.int64, 2), I64, I64, I64, returns=I64)
_counts = kernel("limiter_counts", I64, returns=I64)
_start = kernel(
    "limiter_start",
    *(reads(np.int64, 2), reads(np.float64, 2), I64, I64, I64, writes(np.float64, 1), writes(np.int64, 1)),
)
_run = kernel(
    "limiter_run",
    *(reads(np.float64, 2), I64, I64, I64, I64, I64, reads(np.int64, 2), reads(np.float64, 2)),
    *(reads(np.float32, 3), reads(np.float32, 4), reads(np.int64, 1), I64),
    *(writes(np.float64, 1), writes(np.int64, 1), writes(np.float64, 2), writes(np.float64, 1)),
)


@dataclass(frozen=True, slots=True)
class Form:
    """The shape of one stage, in frames (`late`, `ahead`) and ticks; limiter.h, FORM_…"""

    kind: int
    late: int
    ahead: int
    box_1: int
    box_2: int
    window: int


@dataclass(frozen=True, slots=True)
class Rule:
    """The figures of one stage; limiter.h, RULE_…"""

    trigger: float
    target: float
    fast: float
    fast_step: float
    charge: float
    slow: float
    slow_step: float
    unit: float
    bend: float


@dataclass(frozen=True, slots=True)
class Tables:
    """Interpolators: coarse (4, 2, 16), fine (filters, 9, 2, 128), and each fine one's first tap."""

    coarse: NDArray[np.float32]
    fine: NDArray[np.float32]
    starts: NDArray[np.int64]


def first_tap(taps: int) -> int:
    """Where the kernel, which takes eight taps at a time, may begin with an interpolator of `taps`."""
    return (FINE_HALF - taps // 2) // 8 * 8


class Stages:
    """The stages' memory, and the call that runs them.

    latency: of the stages alone; keep: how many frames of the past they look at.
    """

    def __init__(
        self, forms: list[Form], rules: list[Rule], tables: Tables, latency: int, keep: int, channels: int
    ) -> None:
        self.latency = latency + HOP
        self._sizes = (len(forms), latency, -(-keep // HOP) * HOP)
        self._channels, self._tables = channels, tables
        self._form = np.array([astuple(form) for form in forms], dtype=np.int64)
        self._rule = np.array([astuple(rule) for rule in rules])
        shape = (len(forms), channels, self._sizes[2])
        self._memory = np.zeros(_memory(self._form, *shape))
        self._count = np.zeros(_counts(len(forms)), dtype=np.int64)
        _start(self._form, self._rule, *shape, self._memory, self._count)

    def run(self, block: Block) -> tuple[Block, NDArray[np.float64]]:
        """The limited block and its gain (frames,), both late by `latency`."""
        if block.shape[0] != self._channels:
            raise ValueError(f"a block of {block.shape[0]} channels in a limiter of {self._channels}")
        out, gain = np.empty_like(block), np.empty(block.shape[1])
        tables = self._tables
        _run(
            *(block, self._channels, block.shape[1], *self._sizes, self._form, self._rule),
            *(
                tables.coarse,
                tables.fine,
                tables.starts,
                len(tables.starts),
                self._memory,
                self._count,
                out,
                gain,
            ),
        )
        return out, gain
