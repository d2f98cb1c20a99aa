"""An analogue curve's magnitude as a symmetrical filter: no phase shift, at the price of pre-ringing."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from arsis.dsp.prototypes import Numbers, Prototype
from arsis.errors import PlanError

from .convolution import ConvolutionRunner

SHORTEST, LONGEST = 256, 131_072  # half-lengths in frames
GOOD_DB = 0.01  # error of the finished filter in this range, where the curve is above `DOWN_DB`
LOWEST_HZ, HIGHEST_HZ, HIGHEST_OF_NYQUIST = 5.0, 20_000.0, 0.92
DOWN_DB = -30.0
BINS = 8  # of the grid in the narrowest bend of the curve


def linear_phase_runner(prototype: Prototype, rate_hz: int, channels: int) -> ConvolutionRunner:
    """A runner for the prototype's magnitude; `latency` is half the length and one internal block."""
    taps = linear_phase_taps(prototype, rate_hz)
    return ConvolutionRunner(taps, len(taps) // 2, channels)


def linear_phase_response(prototype: Prototype, freq_hz: Numbers, rate_hz: int) -> NDArray[np.complex128]:
    """H of the taps at each frequency, their centre at frame 0."""
    taps = linear_phase_taps(prototype, rate_hz)
    middle, side = taps[len(taps) // 2], taps[len(taps) // 2 + 1 :]
    turns = 2.0 * np.pi * np.arange(1, len(side) + 1) / rate_hz
    # One frequency at a time: the longest filter on a whole grid would fill the memory.
    return np.array([middle + 2.0 * (np.cos(turns * one) @ side) for one in freq_hz], dtype=np.complex128)


@lru_cache(maxsize=16)
def linear_phase_taps(prototype: Prototype, rate_hz: int) -> Numbers:
    """The shortest symmetrical filter (odd length, doubling) within `GOOD_DB` of the curve.

    The curve is sampled finely, transformed back and cut off with a raised-cosine taper over the
    outer half (frequency sampling with a window: Oppenheim and Schafer, Discrete-Time Signal
    Processing, section 7.5). Raises PlanError where the filter would be longer than
    2 x LONGEST + 1 frames: such a curve would ring for seconds ahead of every sound.
    """
    bend = rate_hz / narrowest_hz(prototype)
    half = max(SHORTEST, _power_of_two(bend / 4.0))
    longest = min(LONGEST, 64 * half)
    if half <= longest:
        size = max(8 * longest, _power_of_two(BINS * bend))
        grid_hz = np.arange(size // 2 + 1, dtype=np.float64) * (rate_hz / size)
        curve = np.abs(prototype.response(grid_hz))
        one_side = np.fft.irfft(curve)
    while half <= longest:
        taps = _cut(one_side, half)
        if _error_db(taps, grid_hz, curve) <= GOOD_DB:
            taps.flags.writeable = False
            return taps
        half *= 2
    raise PlanError(
        f"linear phase at {prototype.freq_hz:g} Hz with so narrow a curve would ring ahead of the sound for "
        f'more than {LONGEST / rate_hz:.1f} s: take a lower q, a higher frequency, or phase = "minimum"'
    )


def narrowest_hz(prototype: Prototype) -> float:
    """The bandwidth of the narrowest pole or zero that is not at 0 Hz."""
    narrow = np.inf
    for section in prototype.sections:
        for polynomial in (section[:3], section[3:]):
            damping = np.abs(np.roots(np.trim_zeros(polynomial, "f")).real)
            narrow = min([narrow, *(2.0 * damping[damping > 0.0])])
    return float(narrow * prototype.freq_hz)


def _power_of_two(least: float) -> int:
    return 1 << max(0, math.ceil(math.log2(least)))


def _cut(one_side: Numbers, half: int) -> Numbers:
    """2 half + 1 symmetrical taps, tapered over the outer half of each side."""
    outer = half // 2
    taper = np.ones(half + 1)
    taper[half - outer :] = 0.5 + 0.5 * np.cos(np.pi * np.arange(outer + 1) / (outer + 1))
    tapered = one_side[: half + 1] * taper
    return np.concatenate([tapered[:0:-1], tapered])


def _error_db(taps: Numbers, grid_hz: Numbers, curve: Numbers) -> float:
    """The largest error of the taps where it can be heard."""
    top_hz = min(HIGHEST_HZ, HIGHEST_OF_NYQUIST * grid_hz[-1])
    matters = (grid_hz >= LOWEST_HZ) & (grid_hz <= top_hz) & (curve > 10.0 ** (DOWN_DB / 20.0))
    got = np.abs(np.fft.rfft(taps, 2 * (len(grid_hz) - 1))[matters])
    return float(20.0 * np.max(np.abs(np.log10(np.maximum(got, 1e-9) / curve[matters])), initial=0.0))
