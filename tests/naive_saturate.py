"""The saturator from its formulas: plain curve, and the whole way at the higher rate in float64."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Signal = NDArray[np.float64]


def curve(x: Signal, drive_db: float, even: float) -> Signal:
    """(f(x + b) − f(b)) / f'(b) with f(x) = x/√(1 + k x²)."""
    k = 10 ** (drive_db / 10) - 1
    bias = even / (2 * np.sqrt(1 + k))
    at_rest = bias / np.sqrt(1 + k * bias * bias)
    return ((x + bias) / np.sqrt(1 + k * (x + bias) ** 2) - at_rest) * (1 + k * bias * bias) ** 1.5


def full_half_band(side: Signal) -> Signal:
    """All taps at the double rate, unit gain for a constant after zero stuffing."""
    reach = len(side)
    taps = np.zeros(4 * reach - 1)
    taps[0 : 2 * reach : 2] = side
    taps[2 * reach :: 2] = side[::-1]
    taps[2 * reach - 1] = 1.0
    return taps


def added(padded: Signal, drive_db: float, even: float, sides: list[Signal]) -> Signal:
    """What the curve adds to one channel, as long as `padded`; its ends are not to be trusted."""
    x = raised(padded, sides)
    k = 10 ** (drive_db / 10) - 1
    bias = even / (2 * np.sqrt(1 + k))
    slope = (1 + k * bias * bias) ** -1.5
    x0, x1 = np.concatenate([[0.0], x[:-1]]), x
    s0, s1 = np.sqrt(1 + k * (x0 + bias) ** 2), np.sqrt(1 + k * (x1 + bias) ** 2)
    apart = np.abs(x1 - x0) > 1e-4
    # antiderivative √(1 + k v²)/k: the quotient of differences, or the curve itself where x hardly moves
    quotient = (s1 - s0) / (k * np.where(apart, x1 - x0, 1.0))
    middle = (x0 + x1) / 2 + bias
    mean = np.where(apart, quotient, middle / np.sqrt(1 + k * middle * middle))
    return lowered((mean - bias / np.sqrt(1 + k * bias * bias)) / slope - (x0 + x1) / 2, sides)


def added_like(own: Signal, lead: Signal, drive_db: float, even: float, sides: list[Signal]) -> Signal:
    """What one channel is given of the curve's gain for another: docs/versions.md, in float64."""
    k = 10 ** (drive_db / 10) - 1
    bias = even / (2 * np.sqrt(1 + k))
    root = np.sqrt(1 + k * bias * bias)
    v, u = raised(own, sides), raised(lead, sides)
    c = k * (2 * bias + u) / (root + np.sqrt(1 + k * (u + bias) ** 2))
    e, pairs, both = (x + np.concatenate([[0.0], x[:-1]]) for x in (u * c, v * c, v))
    return lowered(((root * k * bias**2 - e / 2) * both - root**2 * bias * pairs) / (2 * root + e), sides)


def raised(x: Signal, sides: list[Signal]) -> Signal:
    """At the higher rate."""
    for side in sides:
        stuffed = np.zeros(2 * len(x))
        stuffed[::2] = x
        x = np.convolve(stuffed, full_half_band(side), mode="same")
    return x


def lowered(change: Signal, sides: list[Signal]) -> Signal:
    """Means between samples back in place, at the signal's rate."""
    change = np.convolve(change, [-0.15, 0.65, 0.65, -0.15])[2 : 2 + len(change)]
    for side in reversed(sides):
        change = np.convolve(change, full_half_band(side) / 2, mode="same")[::2]
    return change
