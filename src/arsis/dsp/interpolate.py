"""Windowed-sinc interpolators between samples, in the shape the peak detector wants.

Ideal interpolation is a sum of sinc functions (Shannon, "Communication in the presence of noise", 1949,
theorem 1); cutting it off calls for a window, here Kaiser's (Kaiser, "Nonrecursive digital filter design
using the I0-sinh window function", 1974).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Table = NDArray[np.float32]

# Coefficients are rounded to this step, far above the last bit of a machine's sine, so that a table has
# the same bits everywhere.
_STEP = 2.0**-24


@dataclass(frozen=True, slots=True)
class Sinc:
    """A low-pass interpolator.

    taps: samples that one value between samples is made of, even.
    cutoff: where it has fallen to one half, in units of half the rate.
    beta: Kaiser's window parameter.
    """

    taps: int
    cutoff: float = 1.0
    beta: float = 8.0


def phases(sinc: Sinc, count: int) -> NDArray[np.float64]:
    """Taps (count + 1, sinc.taps) for the points 0, 1/count … 1 between the two middle samples."""
    half = sinc.taps // 2
    points = half - 1 + np.arange(count + 1) / count
    distance = np.arange(sinc.taps) - points[:, np.newaxis]
    # a point on a sample has an odd number of taps around it: the outermost falls on the window's end
    window = np.i0(sinc.beta * np.sqrt(np.maximum(0.0, 1.0 - (distance / half) ** 2)))
    taps = np.sinc(sinc.cutoff * distance) * window
    taps /= taps.sum(axis=1, keepdims=True)
    return np.round(taps / _STEP) * _STEP


def mirrored(taps: NDArray[np.float64]) -> Table:
    """Even and odd halves (phases // 2 + 1, 2, taps // 2) of phases p, which also make phases 1 - p."""
    first = taps[: taps.shape[0] // 2 + 1]
    turned = first[:, ::-1]
    half = taps.shape[1] // 2
    halves = np.stack([(first + turned)[:, :half], (first - turned)[:, :half]], axis=1)
    return (halves / 2).astype(np.float32)


def bend_bound(taps: NDArray[np.float64]) -> float:
    """How far any phase can rise above the samples beside it, for each unit of second difference.

    A phase minus the straight line between its neighbours, shifted to have the same centre of gravity,
    has no response to constants and ramps, so it is some filter after a second difference; what that
    filter can make of differences of at most 1 is the sum of its sizes.
    """
    width = taps.shape[1]
    left = width // 2 - 1
    centre = taps @ np.arange(width) / taps.sum(axis=1) - left
    rest = taps.copy()
    rest[:, left] -= 1.0 - centre
    rest[:, left + 1] -= centre
    after = np.cumsum(np.cumsum(rest, axis=1), axis=1)
    return float(np.abs(after).sum(axis=1).max())
