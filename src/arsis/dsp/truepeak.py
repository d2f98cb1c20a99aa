"""The interpolator of the true-peak meter: 16 points a sample from two short stages."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from .kernels.truepeak import LONG_HALF, SHORT_HALF
from .windows import kaiser_at

POINTS = 16  # a sample; the most a 16-times meter can miss is 0.03 dB at 0.45 of the rate, BS.1770-5, Annex 2
# Chosen by trying (docs/meters.md): flat to 0.01 dB up to 0.46 of the rate, images below -60 dB.
LONG_BETA = 5.5
SHORT_BETA = 8.0


@dataclass(frozen=True)
class Interpolator:
    """halfway: (32,) taps for the point half-way between two samples, nearest first, mirrored.

    inner: (7, 10) taps for the points at 1/8 .. 7/8 between two neighbours of the twofold signal, from
    the fifth before to the fifth after. most, most_short: the largest factor by which both stages, and
    the second alone, can exceed the largest magnitude they are given.
    """

    halfway: NDArray[np.float64]
    inner: NDArray[np.float64]
    most: float
    most_short: float


def _windowed_sinc(position: NDArray[np.float64], half_width: float, beta: float) -> NDArray[np.float64]:
    taps = np.sinc(position) * kaiser_at(position, half_width, beta)
    return np.asarray(taps / taps.sum())


def _most(halfway: NDArray[np.float64], inner: NDArray[np.float64]) -> float:
    """The largest sum of magnitudes over all points, both stages taken together."""
    stage = np.zeros(4 * LONG_HALF - 1)  # the first stage as one filter at twice the rate, centre at 63
    centre = 2 * LONG_HALF - 1
    stage[centre] = 1.0
    stage[centre + 1 :: 2] = halfway
    stage[centre - 1 :: -2] = halfway
    worst = np.abs(halfway).sum() * 2.0
    for taps in inner:
        both = np.convolve(stage, taps)
        worst = max(worst, np.abs(both[0::2]).sum(), np.abs(both[1::2]).sum())
    return float(worst)


@cache
def design() -> Interpolator:
    """Kaiser-windowed sines over their arguments; each point's taps sum to one."""
    sides = np.arange(LONG_HALF) + 0.5
    halfway = _windowed_sinc(np.concatenate([-sides[::-1], sides]), LONG_HALF, LONG_BETA)[LONG_HALF:]
    steps = POINTS // 2
    places = np.arange(-(SHORT_HALF - 1), SHORT_HALF + 1)
    inner = np.array([_windowed_sinc(places - j / steps, SHORT_HALF, SHORT_BETA) for j in range(1, steps)])
    return Interpolator(halfway, inner, _most(halfway, inner), float(np.abs(inner).sum(axis=1).max()))


@cache
def interpolator() -> NDArray[np.float32]:
    """The design as the kernel takes it: half-way taps, even and odd parts of the inner ones, both gains."""
    made = design()
    before = made.inner[: POINTS // 4, SHORT_HALF - 1 :: -1]  # nearest first
    after = made.inner[: POINTS // 4, SHORT_HALF:]
    even, odd = (before + after) / 2.0, (before - after) / 2.0
    # Skipping must never depend on the rounding of single precision: a little more than the true gains.
    gains = np.array([made.most, made.most_short]) * (1.0 + 1e-5)
    packed = np.concatenate([made.halfway, even.ravel(), odd.ravel(), gains]).astype(np.float32)
    packed.setflags(write=False)
    return packed
