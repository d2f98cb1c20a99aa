"""The 16-fold interpolation written out: put zeros between, filter, twice; float64, nothing skipped."""

from __future__ import annotations

import itertools

import numpy as np

from arsis.audio import Block


def _kaiser_sinc(half_width: int, points: int, beta: float) -> np.ndarray:
    """Interpolator of `points` per sample, `half_width` samples to each side; each phase sums to one."""
    at = np.arange(-half_width * points + 1, half_width * points) / points
    taps = np.sinc(at) * np.i0(beta * np.sqrt(1.0 - (at / half_width) ** 2)) / np.i0(beta)
    for phase in range(points):
        taps[phase::points] /= taps[phase::points].sum()
    return taps


def _interpolated(x: np.ndarray, half_width: int, points: int, beta: float) -> np.ndarray:
    spread = np.zeros(x.size * points)
    spread[::points] = x
    return np.convolve(spread, _kaiser_sinc(half_width, points, beta))


def points(x: np.ndarray, betas: tuple[float, float]) -> tuple[np.ndarray, int]:
    """All points of a channel, 16 a sample, and the place of the first sample among them."""
    twofold = _interpolated(x, 32, 2, betas[0])
    lead = 32 * 2 - 1
    return _interpolated(twofold, 5, 8, betas[1]), lead * 8 + 5 * 8 - 1


def peaks(x: Block, cuts: list[int], betas: tuple[float, float]) -> np.ndarray:
    """The largest magnitude from cut to cut, over the channels; before and after count as well."""
    result = np.zeros(len(cuts) + 1)
    for channel in x:
        fine, first = points(channel, betas)
        edges = [0, *(first + 16 * cut for cut in cuts), fine.size]
        tops = [np.abs(fine[a:b]).max(initial=0.0) for a, b in itertools.pairwise(edges)]
        result = np.maximum(result, tops)
    return result
