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
COARSE_HALF = 16
COARSE_PHASES, FINE_PHASES = 8, 16
_COUNTS = 3

_memory = kernel("limiter_memory", reads(np.int64, 2), I64, I64, returns=I64)
_start = kernel("limiter_start", reads(np.int64, 2), I64, I64, writes(np.float64, 1), writes(np.int64, 2))
_run = kernel(
    "limiter_run",
    *(reads(np.float64, 2), I64, I64, I64, I64, reads(np.int64, 2), reads(np.float64, 2)),
    *(reads(np.float32, 3), reads(np.float32, 4), reads(np.int64, 1), I64),
    *(writes(np.float64, 1), writes(np.int64, 2), writes(np.float64, 2), writes(np.float64, 1)),
)


@dataclass(frozen=True, slots=True)
class Form:
    """The shape of one stage, in frames (`ahead`, `keep`) and ticks; limiter.h, FORM_…"""

    fine: int
    ahead: int
    box_1: int
    box_2: int
    window: int
    keep: int


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


class Stages:
    """The stages' memory, and the call that runs them."""

    def __init__(
        self, forms: list[Form], rules: list[Rule], tables: Tables, latency: int, channels: int
    ) -> None:
        self.latency = latency + HOP
        self._own_latency, self._channels, self._tables = latency, channels, tables
        self._form = np.array([astuple(form) for form in forms], dtype=np.int64)
        self._rule = np.array([astuple(rule) for rule in rules])
        self._memory = np.zeros(_memory(self._form, len(forms), channels))
        self._count = np.zeros((len(forms) + 1, _COUNTS), dtype=np.int64)
        _start(self._form, len(forms), channels, self._memory, self._count)

    def run(self, block: Block) -> tuple[Block, NDArray[np.float64]]:
        out, gain = np.empty_like(block), np.empty(block.shape[1])
        tables = self._tables
        _run(
            *(
                block,
                self._channels,
                block.shape[1],
                len(self._form),
                self._own_latency,
                self._form,
                self._rule,
            ),
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
