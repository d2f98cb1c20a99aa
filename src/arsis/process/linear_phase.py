"""An analogue curve's magnitude as a symmetrical filter: no phase shift, at the price of pre-ringing."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from arsis.dsp.prototypes import Numbers, Prototype
from arsis.errors import PlanError

from .convolution import ConvolutionRunner

SHORTEST, LONGEST = 256, 131_072  # half-lengths in frames
GOOD_DB = 0.01  # error of the finished filter up to `HEARD_HZ`, where the curve is above `DOWN_DB`
HEARD_HZ, HEARD_OF_NYQUIST = 20_000.0, 0.92
DOWN_DB = -40.0


def linear_phase_runner(prototype: Prototype, rate_hz: int, channels: int) -> ConvolutionRunner:
    """A runner for the prototype's magnitude; `latency` is half the length and one internal block."""
    taps = linear_phase_taps(prototype, rate_hz)
    return ConvolutionRunner(taps, len(taps) // 2, channels)


@lru_cache(maxsize=16)
def linear_phase_taps(prototype: Prototype, rate_hz: int) -> Numbers:
    """The shortest symmetrical filter (odd length, doubling) within `GOOD_DB` of the curve.

    The curve is sampled finely, transformed back and cut off with a raised-cosine taper over the
    outer half (frequency sampling with a window: Oppenheim and Schafer, Discrete-Time Signal
    Processing, section 7.5). Raises PlanError where the filter would be longer than
    2 x LONGEST + 1 frames: such a curve would ring for seconds ahead of every sound.
    """
    half = SHORTEST
    while half * narrowest_hz(prototype) < rate_hz / 8.0:  # the grid must see the narrowest bend
        half *= 2
    for half in (half << k for k in range(12)):
        if half > LONGEST:
            break
        taps = _taps(prototype, rate_hz, half)
        if _error_db(taps, prototype, rate_hz) <= GOOD_DB:
            taps.flags.writeable = False
            return taps
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


def _taps(prototype: Prototype, rate_hz: int, half: int) -> Numbers:
    size = 8 * half
    freq_hz = _grid_hz(size, rate_hz)
    around_zero = np.fft.irfft(np.abs(prototype.response(freq_hz)))
    one_side = around_zero[: half + 1] * _taper(half)
    return np.concatenate([one_side[:0:-1], one_side])


def _grid_hz(size: int, rate_hz: int) -> Numbers:
    return np.arange(size // 2 + 1, dtype=np.float64) * (rate_hz / size)


def _taper(half: int) -> Numbers:
    outer = half // 2
    taper = np.ones(half + 1)
    taper[half - outer :] = 0.5 + 0.5 * np.cos(np.pi * np.arange(outer + 1) / (outer + 1))
    return taper


def _error_db(taps: Numbers, prototype: Prototype, rate_hz: int) -> float:
    """On a grid twice as fine as the one it was made on."""
    size = 8 * (len(taps) - 1)
    freq_hz = _grid_hz(size, rate_hz)
    heard = freq_hz <= min(HEARD_HZ, HEARD_OF_NYQUIST * rate_hz / 2.0)
    want = np.abs(prototype.response(freq_hz[heard]))
    matters = want > 10.0 ** (DOWN_DB / 20.0)
    got = np.abs(np.fft.rfft(taps, size)[heard])
    return float(20.0 * np.max(np.abs(np.log10(np.maximum(got[matters], 1e-9) / want[matters])), initial=0.0))
