"""Sums over the bins of Hann-windowed spectra: of powers, and of compressed magnitudes.

The transform is the kernel's own: eight frames at a time, it takes a seventh of what numpy's takes, and
its spectra are summed while they are in the cache.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from .kernels import spectra as kernel
from .transform import passes

SIZE = kernel.SIZE
Floats = NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Bank:
    """A matrix (bins, sums), kept as the span of bins in which each column is not zero."""

    spans: NDArray[np.int64]
    weights: Floats

    @staticmethod
    def of(matrix: Floats) -> Bank:
        """A matrix with SIZE / 2 + 1 rows, and none but zeros in no column."""
        inside = matrix != 0.0
        first, last = inside.argmax(axis=0), len(matrix) - inside[::-1].argmax(axis=0)
        columns = zip(matrix.T, first, last, strict=True)
        weights = np.concatenate([column[low:high] for column, low, high in columns])
        return Bank(np.stack([first, last - first], axis=1), weights)


def power_sums(samples: Floats, frames: int, hop: int, bank: Bank) -> Floats:
    """Sums of powers, (frames, sums), of frames of SIZE samples; a full-scale sine has the power 1/2."""
    out = np.empty((frames, len(bank.spans)), np.float32)
    kernel.power_sums(samples, hop, _window(), _turns(), bank.spans, bank.weights, out)
    return out


def compressed_sums(
    samples: Floats, frames: int, hop: int, bank: Bank, steepness: float, least: float
) -> Floats:
    """Sums of ln(1 + steepness |X| / (median of |X| + least)), scaled as in `power_sums`."""
    out = np.empty((frames, len(bank.spans)), np.float32)
    arrays = (_window(), _turns(), bank.spans, bank.weights)
    kernel.compressed_sums(samples, hop, *arrays, out, steepness=steepness, least=least)
    return out


@cache
def _window() -> Floats:
    """Hann; half of it, since the kernel adds where it should take means."""
    window = np.hanning(SIZE + 1)[:-1]
    return np.asarray(0.5 * window / np.sqrt((window**2).sum() * SIZE / 2.0), np.float32)


@cache
def _turns() -> Floats:
    """Of the passes, then exp(-2πi k / SIZE), a quarter turn."""
    split = np.exp(-2j * np.pi / SIZE * np.arange(SIZE // 4 + 1))
    return np.concatenate([*passes(SIZE // 2), split]).astype(np.complex64).view(np.float32)
