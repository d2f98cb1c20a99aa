"""For how long what has been is still heard in what a processor gives."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

from arsis.settings import Limiter, Processor

from .base import is_neutral
from .limiting import RELEASE_LEAVES, SLOW_RELEASE
from .stereo import FOLD_Q

# Time constants after which the ring of a filter is 140 dB down, and after which a detector's difference is
# a thousandth.
RUNG, SETTLED = 16.0, 7.0
WITHOUT_Q = 3.0  # of the narrowest section of a Butterworth filter of order 8: 2.56
LINEAR_S = 1.5  # half the longest symmetrical filter, and its block, at 96 kHz


def memory_s(chain: Iterable[Processor], limiter: Limiter | None = None) -> float:
    """The longest memory of any link of a chain, in seconds."""
    working = [settings for settings in chain if not is_neutral(settings)]
    links = [_memory_s(settings) for settings in (*working, limiter) if settings is not None]
    return max(links, default=0.0)


def _memory_s(settings: Any) -> float:
    if isinstance(settings, Limiter):
        fast_s = settings.release_ms / 1000.0 / -math.log(RELEASE_LEAVES)
        return SETTLED * SLOW_RELEASE * fast_s
    times_s = [getattr(settings, key, 0.0) / 1000.0 for key in ("attack_ms", "release_ms")]
    q = getattr(settings, "q", WITHOUT_Q)
    q = WITHOUT_Q if getattr(settings, "order", 2) > 2 else q
    rings_s = [
        _ring_s(getattr(settings, "freq_hz", 0.0), q),
        _ring_s(getattr(settings, "sidechain_high_pass_hz", 0.0), math.sqrt(0.5)),
        _ring_s(getattr(settings, "fold_below_hz", 0.0), FOLD_Q),
    ]
    linear_s = LINEAR_S if getattr(settings, "phase", "minimum") == "linear" else 0.0
    return max(SETTLED * max(times_s), *rings_s, linear_s)


def _ring_s(freq_hz: float, q: float) -> float:
    """A pair of poles of quality q rings as exp(-pi f t / q), an overdamped one as exp(-2 pi f q t)."""
    if freq_hz == 0.0:
        return 0.0
    return RUNG * max(q, 0.25 / q, 0.5) / (math.pi * freq_hz)
