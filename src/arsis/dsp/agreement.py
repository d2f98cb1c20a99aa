"""How far many signals agree with one template, at the best of many shifts: their correlation there.

Correlations are taken by their spectra, for eight signals at a time: less than half of the time that numpy
takes over fewer shifts.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from .kernels import agreement as kernel
from .transform import passes, reversed_digits

Spectra = NDArray[np.complex64]
Floats = NDArray[np.float64]


class Agreement:
    """Signals by their spectra, held against one template after another.

    bins: (signals, bins), those from the `low`-th on. most: shifts are tried below it, in `size`-ths of what
    the bins are whole turns of.
    """

    def __init__(self, bins: Spectra, low: int, size: int, most: int) -> None:
        count = bins.shape[1] + -bins.shape[1] % 4
        padded = np.zeros((len(bins), count), np.complex64)
        padded[:, : bins.shape[1]] = bins
        self._bins, self._size, self._most = bins.shape[1], size, most
        self._x = padded.view(np.float32).reshape(len(bins), count, 2)
        self._pairs = most // 2 + 1
        self._turns = _turns(size // 4, self._pairs)
        self._places, self._halves = _places(size, low, count)

    def best(self, template: Spectra) -> tuple[Floats, Floats]:
        """The best agreement with a template, and its shift, between two steps by a parabola."""
        factors = np.zeros((len(self._halves), 2), np.complex64)
        factors[: self._bins] = np.stack([template, np.conj(template)], axis=1)
        factors *= self._halves
        out = np.empty((len(self._x), 4), np.float32)
        kernel.agreements(
            self._x, factors.view(np.float32).reshape(-1, 2, 2), self._places, self._turns, out,
            quarter=self._size // 4, pairs=self._pairs, most=self._most,
        )  # fmt: skip
        at, before, top, after = out.astype(np.float64).T
        bent = np.minimum(before - 2.0 * top + after, -1e-12)
        return top, at + np.clip(0.5 * (before - after) / bent, -0.5, 0.5)


def size_for(highest_bin: int) -> int:
    """The size of transform for bins up to there: four steps or more to the period of the highest.

    Raises ValueError where there is none.
    """
    if highest_bin > kernel.QUARTERS[-1]:
        raise ValueError(f"agreement is made of bins up to {kernel.QUARTERS[-1]}, not {highest_bin}")
    return next(4 * quarter for quarter in kernel.QUARTERS if highest_bin <= quarter)


@cache
def _turns(quarter: int, pairs: int) -> NDArray[np.float32]:
    """Of the passes; then exp(-πi m / quarter), m from -pairs to pairs - 1."""
    last = np.exp(-1j * np.pi / quarter * np.arange(-pairs, pairs))
    return np.concatenate([*passes(quarter), last]).astype(np.complex64).view(np.float32)


@cache
def _places(size: int, low: int, count: int) -> tuple[NDArray[np.int64], Spectra]:
    """(bins, 2): where each bin and its mirror go, and what they go there with.

    Of the real values c of a spectrum C, c[2m] + i c[2m + 1] has the spectrum C[k] + C[k + size/2]
    + i exp(2πi k / size) (C[k] - C[k + size/2]). It is transformed conjugated, its even bins first, with the
    base-4 digits of their places in reverse.
    """
    bins = np.minimum(low + np.arange(count), size // 2 - 1)
    at = np.stack([bins, size // 2 - bins], axis=1)
    turn = np.exp(2j * np.pi / size * bins)
    with_what = 0.5 * np.stack([1.0 - 1j * np.conj(turn), 1.0 - 1j * turn], axis=1)
    places = (at & 1) * (size // 4) + reversed_digits(at >> 1, size // 4)
    return places, with_what.astype(np.complex64)
