"""`attack_db`: how far the onsets of drums and notes stand above what surrounds them.

The definition is arsis's own (docs/attack.md). From the K-weighted power of every 2 ms of a section:

1. rise(k): mean power of the 10 ms from k over that of the 40 ms before, in dB. An onset is where the
   rise is at least 3 dB and the largest within 50 ms to either side.
2. An onset's prominence: the 10 ms from it over the median power of the 500 ms around it (200 before, 300
   after), in dB. The median does not move with the attacks themselves,
   as long as they fill less than half of the time.
3. attack_db is the mean prominence of the stronger half of the onsets.

A print is heard at the onsets of its mix: of its own, one that was taken down would be replaced by another.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

Powers = NDArray[np.float64]

HOPS_PER_SECOND = 500
FAST_HOPS = 5  # 10 ms
BEFORE_HOPS = 20  # 40 ms
APART_HOPS = 25  # 50 ms
AROUND_HOPS = (100, 150)  # 200 ms before, 300 ms after
LEAST_RISE_DB = 3.0
FLOOR_DB = -60.0  # re the section's mean power: what is quieter counts as no lower


def _means(powers: Powers, hops: int) -> Powers:
    return np.asarray(sliding_window_view(powers, hops).mean(axis=1))


def _floored(powers: Powers) -> Powers:
    return np.asarray(powers + powers.mean() * 10.0 ** (FLOOR_DB / 10.0))


def onsets(powers: Powers) -> NDArray[np.int64]:
    """Hops at which onsets begin, rising. powers: of every 2 ms of a section."""
    if powers.size < BEFORE_HOPS + FAST_HOPS or not powers.any():
        return np.empty(0, dtype=np.int64)
    level = _floored(powers)
    after = _means(level, FAST_HOPS)[BEFORE_HOPS:]
    rise = 10.0 * np.log10(after / _means(level, BEFORE_HOPS)[: after.size])
    guarded = np.pad(rise, APART_HOPS, constant_values=-math.inf)
    risen = np.flatnonzero(rise >= LEAST_RISE_DB)
    largest = sliding_window_view(guarded, 2 * APART_HOPS + 1)[risen].max(axis=1)
    return np.asarray(risen[rise[risen] == largest] + BEFORE_HOPS)


def density_per_s(powers: Powers) -> float:
    """Onsets per second of a section; 0 for an empty one."""
    return onsets(powers).size * HOPS_PER_SECOND / max(1, powers.size)


def prominences_db(powers: Powers, at: NDArray[np.int64]) -> Powers:
    """How far each onset stands above the half second around it."""
    if not at.size:
        return np.empty(0)
    level = _floored(powers)
    fast = _means(level, FAST_HOPS)
    around = at[:, np.newaxis] + np.arange(-AROUND_HOPS[0], AROUND_HOPS[1])
    # Hops outside the section are left out: nothing is compared with the level of another section.
    inside = np.where((around >= 0) & (around < level.size), around, 0)
    values = np.where(inside == around, level[inside], np.nan)
    return np.asarray(10.0 * np.log10(fast[at] / np.nanmedian(values, axis=1)))


def strong_onsets(powers: Powers) -> NDArray[np.int64]:
    """The stronger half of a section's onsets, weakest first."""
    at = onsets(powers)
    return at[np.argsort(prominences_db(powers, at), kind="stable")[at.size // 2 :]]


def attack_db(powers: Powers, at: NDArray[np.int64] | None = None) -> float | None:
    """Mean prominence of the stronger half of a section's onsets; None where there is none, or only silence.

    powers: K-weighted power of every 2 ms of the section, as LoudnessMeter(rate_hz, channels, 500) gives.
    at: the strong onsets of what this is a treatment of; else its own.
    """
    at = strong_onsets(powers) if at is None else at[at <= powers.size - FAST_HOPS]
    return float(prominences_db(powers, at).mean()) if at.size and powers.any() else None
