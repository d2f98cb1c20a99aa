"""The interpolator of the true-peak meter: 16 points a sample from two short stages."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from .kernels.truepeak import LONG_HALF, SHORT_HALF
from .windows import kaiser_at

POINTS = 16  # a sample; the most a 16-times meter can miss is 0.03 dB at 0.45 of the rate, BS.1770-5, Annex 2
STEPS = POINTS // 2  # of the second stage
# Chosen by trying (docs/meters.md): within 0.005 dB of flat up to 0.465 of the rate, -0.09 dB at 0.47.
LONG_BETA = 7.0
SHORT_BETA = 8.0
# Single precision rounds what the filters give by less than this: skipping must not depend on it.
ROUNDING = 1.0 + 1e-4

Taps = NDArray[np.float64]


@dataclass(frozen=True)
class Limit:
    """How far points between samples can lie from them.

    A point's magnitude is at most `line` times the larger of its two neighbours plus `bend` times the
    largest second difference of the samples it depends on.
    """

    line: float
    bend: float


@dataclass(frozen=True)
class Interpolator:
    """halfway: (32,) taps for the point half-way between two samples, nearest first, mirrored.

    inner: (7, 10) taps for the points at 1/8 .. 7/8 between two neighbours of the twofold signal, from
    the fifth before to the fifth after. points: (16, 74) both stages as one filter for each point from a
    sample to the next, from 36 samples before it. both, second: the limits of all points, and of the
    second stage on the twofold signal.
    """

    halfway: Taps
    inner: Taps
    points: Taps
    both: Limit
    second: Limit


def _windowed_sinc(position: Taps, half_width: float, beta: float) -> Taps:
    taps = np.sinc(position) * kaiser_at(position, half_width, beta)
    return np.asarray(taps / taps.sum())


def _points(halfway: Taps, inner: Taps) -> Taps:
    """Both stages as one filter for each of the points."""
    before = LONG_HALF + 4
    long = np.zeros(2 * before + 2)  # of the half-way point, from `before` samples before its own
    long[before + 1 : before + 1 + LONG_HALF] = halfway
    long[before : before - LONG_HALF : -1] = halfway
    sample = np.zeros_like(long)
    sample[before] = 1.0

    def twofold(number: int) -> Taps:
        return np.roll(long if number % 2 else sample, number // 2)

    rows = []
    for number in (0, 1):
        rows.append(twofold(number))
        places = range(number - SHORT_HALF + 1, number + SHORT_HALF + 1)
        rows += [
            sum((tap * twofold(n) for tap, n in zip(taps, places, strict=True)), 0.0 * long) for taps in inner
        ]
    return np.array(rows)


def _limit(points: Taps, before: int) -> Limit:
    """The limit of points that divide the way from sample `before` of their taps to the next evenly.

    The taps less those of the straight line sum to nothing. Summed twice, they are the taps of the same
    thing made from second differences; what little the first sum leaves over acts on the first
    difference across the point, at most twice the larger neighbour.
    """
    line, bend = 1.0, 0.0
    for number, taps in enumerate(points):
        rest = taps.copy()
        share = number / len(points)
        rest[before] -= 1.0 - share
        rest[before + 1] -= share
        once = np.cumsum(rest)
        left_over = once.sum()
        once[before] -= left_over
        line = max(line, 1.0 + 2.0 * abs(left_over))
        bend = max(bend, np.abs(np.cumsum(once)).sum())
    return Limit(line, bend)


@cache
def design() -> Interpolator:
    """Kaiser-windowed sines over their arguments; each point's taps sum to one."""
    sides = np.arange(LONG_HALF, dtype=np.float64) + 0.5
    halfway = _windowed_sinc(np.concatenate([-sides[::-1], sides]), LONG_HALF, LONG_BETA)[LONG_HALF:]
    places = np.arange(-SHORT_HALF + 1, SHORT_HALF + 1, dtype=np.float64)
    inner = np.array([_windowed_sinc(places - j / STEPS, SHORT_HALF, SHORT_BETA) for j in range(1, STEPS)])
    points = _points(halfway, inner)
    start = np.zeros((1, 2 * SHORT_HALF))
    start[0, SHORT_HALF - 1] = 1.0
    second = _limit(np.concatenate([start, inner]), SHORT_HALF - 1)
    return Interpolator(halfway, inner, points, _limit(points, LONG_HALF + 4), second)


@cache
def interpolator() -> NDArray[np.float32]:
    """The design as the kernel takes it: half-way taps, even and odd parts of the inner ones, the limits."""
    made = design()
    before = made.inner[: STEPS // 2, SHORT_HALF - 1 :: -1]  # nearest first
    after = made.inner[: STEPS // 2, SHORT_HALF:]
    even, odd = (before + after) / 2.0, (before - after) / 2.0
    limits = np.array([made.both.line, made.both.bend, made.second.line, made.second.bend]) * ROUNDING
    packed = np.concatenate([made.halfway, even.ravel(), odd.ravel(), limits]).astype(np.float32)
    packed.setflags(write=False)
    return packed
