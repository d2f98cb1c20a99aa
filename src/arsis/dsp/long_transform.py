"""The spectra of long real signals in float64: half of the time of numpy's."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from .kernels import long_transform as kernel
from .transform import passes, reversed_digits

Floats = NDArray[np.float64]


def spectra(signals: Floats, window: Floats, power: Floats) -> NDArray[np.complex128]:
    """(signals, samples / 2 + 1), bins of windowed signals; the power of all is added to `power`.

    signals: (n, samples), a power of two from 32 on.
    """
    count, samples = signals.shape
    out = np.empty((count, samples // 2 + 1), np.complex128)
    kernel.long_transforms(signals, window, *_plan(samples), out, power)
    return out


@cache
def _plan(samples: int) -> tuple[NDArray[np.int64], Floats, int]:
    """Where every four numbers go, what all are turned by, and of how many powers of four they are made."""
    size, quarter = samples // 2, samples // 8
    parts = 2 - quarter.bit_length() % 2
    part, at = quarter // parts, np.arange(quarter)
    places = at % parts * part + reversed_digits(at // parts, part)
    halves = [np.exp(-2j * np.pi * np.arange(part) / quarter)] * (parts - 1)
    in_pairs = np.concatenate([*passes(part), *halves, np.zeros(0)]).astype(np.complex128).view(np.float64)
    lanes = [np.exp(-2j * np.pi * lane * at / size) for lane in (1, 2, 3)]
    bins = np.exp(-1j * np.pi * np.arange(size) / size)
    apart = [one for turn in (*lanes, bins) for one in (turn.real, turn.imag)]
    return places, np.concatenate([in_pairs, *apart]), parts
