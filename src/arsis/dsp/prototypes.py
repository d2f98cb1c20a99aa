"""The analogue curves that the tone processors follow, as quotients of polynomials in s.

s = jf/freq_hz, so that the centre or corner lies at s = j. Bell, shelves and passes are the
prototypes of R. Bristow-Johnson, "Cookbook formulae for audio EQ biquad filter coefficients"
(W3C Note, 2021).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from arsis.units import steady

Numbers = NDArray[np.float64]
# b2 b1 b0 a2 a1 a0 of (b2 s² + b1 s + b0) / (a2 s² + a1 s + a0)
AnalogueSection = tuple[float, float, float, float, float, float]


@dataclass(frozen=True, slots=True)
class Prototype:
    """A cascade of analogue sections around one frequency, of minimum phase."""

    freq_hz: float
    sections: tuple[AnalogueSection, ...]

    def response(self, freq_hz: Numbers) -> NDArray[np.complex128]:
        """H at s = jf / freq_hz, one value for each frequency."""
        s = 1j * np.asarray(freq_hz, dtype=np.float64) / self.freq_hz
        whole = np.ones_like(s)
        for b2, b1, b0, a2, a1, a0 in self.sections:
            whole *= ((b2 * s + b1) * s + b0) / ((a2 * s + a1) * s + a0)
        return whole

    def magnitude_db(self, freq_hz: Numbers) -> Numbers:
        """Level at each frequency; minus infinity where nothing passes."""
        with np.errstate(divide="ignore"):
            return 20.0 * np.log10(np.abs(self.response(freq_hz)))

    def power_and_slope(self, v: Numbers) -> tuple[Numbers, Numbers]:
        """|H|² at s = j√v, and d ln|H|² / d ln v."""
        power, slope = np.ones_like(v), np.zeros_like(v)
        for section in self.sections:
            for (c2, c1, c0), sign in ((section[:3], 1.0), (section[3:], -1.0)):
                middle = c1 * c1 - 2.0 * c0 * c2
                value = (c2 * c2 * v + middle) * v + c0 * c0
                power *= value**sign
                slope += sign * v * (2.0 * c2 * c2 * v + middle) / value
        return power, slope


def bell(freq_hz: float, gain_db: float, q: float) -> Prototype:
    """`gain_db` at the centre, 0 dB far away (peakingEQ)."""
    a = steady(math.pow(10.0, gain_db / 40.0))
    return Prototype(freq_hz, ((1.0, a / q, 1.0, 1.0, 1.0 / (a * q), 1.0),))


def low_shelf(freq_hz: float, gain_db: float, q: float) -> Prototype:
    """`gain_db` far below, half of it at the frequency, 0 dB far above (lowShelf)."""
    a = steady(math.pow(10.0, gain_db / 40.0))
    slope = math.sqrt(a) / q
    return Prototype(freq_hz, ((a, a * slope, a * a, a, slope, 1.0),))


def high_shelf(freq_hz: float, gain_db: float, q: float) -> Prototype:
    """`gain_db` far above, half of it at the frequency, 0 dB far below (highShelf)."""
    a = steady(math.pow(10.0, gain_db / 40.0))
    slope = math.sqrt(a) / q
    return Prototype(freq_hz, ((a * a, a * slope, a, 1.0, slope, a),))


def tilt(freq_hz: float, gain_db: float) -> Prototype:
    """H(s) = (Ks + 1) / (s + K), K = 10^(gain_db/20): 1/K at 0 Hz, K at infinity, |H(j)| = 1.

    Derived here: of all first-order sections with these two limits it is the one that crosses 0 dB
    at the pivot, and |H(jf)|·|H(j/f)| = 1 makes it odd about the pivot in dB over log f.
    """
    k = steady(math.pow(10.0, gain_db / 20.0))
    return Prototype(freq_hz, ((0.0, k, 1.0, 0.0, 1.0, k),))


def low_pass(freq_hz: float, order: int, q: float) -> Prototype:
    """Butterworth of this order; order 2 takes `q` (LPF)."""
    return Prototype(freq_hz, tuple((0.0, 0.0, 1.0, *poles) for poles in _butterworth(order, q)))


def high_pass(freq_hz: float, order: int, q: float) -> Prototype:
    """Butterworth of this order; order 2 takes `q` (HPF)."""
    return Prototype(
        freq_hz,
        tuple(
            (1.0, 0.0, 0.0, *poles) if poles[0] else (0.0, 1.0, 0.0, *poles)
            for poles in _butterworth(order, q)
        ),
    )


def _butterworth(order: int, q: float) -> list[tuple[float, float, float]]:
    """a2 a1 a0 of each section: poles evenly spaced on the unit circle.

    S. Butterworth, "On the theory of filter amplifiers", Experimental Wireless, October 1930.
    """
    if order == 2:
        return [(1.0, 1.0 / q, 1.0)]
    angles = [math.pi * (2 * k + 1) / (2 * order) for k in range(order // 2)]
    pairs = [(1.0, 2.0 * steady(math.sin(angle)), 1.0) for angle in angles]
    return pairs + ([(0.0, 1.0, 1.0)] if order % 2 else [])
