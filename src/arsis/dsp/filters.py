"""From an analogue curve to second-order sections that follow it, in Hz, at any sampling rate.

The bilinear transform puts tan²(w/2) in the place of the analogue frequency squared and so bends
the curve towards Nyquist. Here a better stand-in is used: with x = sin²(w/2), a quotient

    r(x) = (n1 x + n2 x²) / (1 + m1 x + m2 x²)

is fitted to w² where the curve is steep, so that |H|² at r is |H|² at w² to a hundredth of a dB. It
is a quotient of polynomials in x, hence a digital filter with two sections for each analogue
section, or with one where n2 = m2 = 0 is near enough (the bilinear transform is of that kind). Its
poles and zeros are the roots of r(x) = u for each root u of the analogue polynomials. r is positive
on 0 < x <= 1, so a stable curve of minimum phase gives a stable filter of minimum phase; and since
boost and cut share one r, a cut is the exact inverse of the boost. The construction is our own, no
source; matching squared magnitudes in x goes back to M. Vicanek, "Matched Second Order Digital
Filters", 2016.

A fit's last bits differ between machines (they are the linear algebra library's). So its result is
rounded to `FIT_BITS` and everything after it is plain arithmetic and square roots, which are exact
to the bit everywhere: the same plan gives the same coefficients on every machine.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from arsis.errors import PlanError
from arsis.units import steady

from .prototypes import AnalogueSection, Numbers, Prototype
from .quadratic import conjugate_halves, monic, roots

LOWEST_HZ = 0.1  # below it a section's poles are too near 1 for float64
HEARD_HZ = 20_000.0  # up to here the fit is weighted in full
GOOD_DB = 0.01  # one section for each analogue section is enough within this
DEEP = 10.0**-2.5  # 25 dB down: below any move, above what matters of a stop band
FIT_TO = 0.9  # of Nyquist; w² has a kink at Nyquist itself that no quotient in x can follow
FIT_BITS = 24  # 6e-8 of a frequency: 1e-5 dB on the steepest curve
PASSES = 6  # of reweighting, enough to settle well below GOOD_DB


@dataclass(frozen=True, slots=True)
class Stand:
    """r(x) = (n1 x + n2 x²) / (1 + m1 x + m2 x²)."""

    n1: float
    n2: float
    m1: float
    m2: float

    def at(self, x: Numbers) -> Numbers:
        """r at each x."""
        return x * (self.n1 + self.n2 * x) / self.below(x)

    def below(self, x: Numbers) -> Numbers:
        return 1.0 + x * (self.m1 + self.m2 * x)

    def solve(self, u: complex) -> list[complex]:
        """Every x with r(x) = u; of conjugates one where u is real."""
        return roots(self.n2 - u * self.m2, self.n1 - u * self.m1, -u)

    def poles(self) -> list[complex]:
        """Every x where r is infinite, of conjugates one."""
        return roots(complex(self.m2), complex(self.m1), 1.0 + 0.0j)


def follow(prototype: Prototype, rate_hz: int) -> Numbers:
    """Second-order sections, (n, 5) rows b0 b1 b2 a1 a2, whose magnitude follows the prototype's.

    Within 0.02 dB up to 16 kHz at any rate from 44.1 kHz for bells, shelves and tilts of up to 6 dB
    (0.05 dB up to 24 dB), within 0.05 dB for passes down to -20 dB (`docs/tone.md`). Takes about half
    a millisecond. Raises PlanError below `LOWEST_HZ`.
    """
    if prototype.freq_hz < LOWEST_HZ:
        raise PlanError(f"a filter at {prototype.freq_hz:g} Hz: allowed from {LOWEST_HZ:g} Hz")
    return _follow(prototype, rate_hz).copy()


def response(sections: Numbers, freq_hz: Numbers, rate_hz: int) -> NDArray[np.complex128]:
    """H of a cascade at each frequency."""
    z: NDArray[np.complex128] = np.exp(-2j * math.pi * np.asarray(freq_hz, dtype=np.float64) / rate_hz)
    whole = np.ones_like(z)
    for b0, b1, b2, a1, a2 in sections:
        whole *= ((b2 * z + b1) * z + b0) / ((a2 * z + a1) * z + 1.0)
    return whole


@lru_cache(maxsize=512)
def _follow(prototype: Prototype, rate_hz: int) -> Numbers:
    curve = _Curve.of(prototype, rate_hz)
    for degree in (1, 2):
        stand = _fit(curve, degree)
        if stand is not None and (degree == 2 or curve.error_db(stand) <= GOOD_DB):
            centre = curve.centre
            return np.array(
                [row for section in prototype.sections for row in _sections(section, centre, stand)]
            )
    raise PlanError(
        f"no filter follows this curve at {prototype.freq_hz:g} Hz and {rate_hz} Hz sampling rate"
    )


@dataclass(frozen=True, slots=True)
class _Curve:
    """What a stand-in is fitted to: w² on a grid of frequencies w in radians per frame."""

    centre: float
    u: Numbers  # w²
    x: Numbers
    weight: Numbers  # dB of error for a relative error of r, as far as it matters

    @classmethod
    def of(cls, prototype: Prototype, rate_hz: int) -> _Curve:
        centre = 2.0 * math.pi * prototype.freq_hz / rate_hz
        top = FIT_TO * math.pi
        near = centre * np.geomspace(0.25, 4.0, 49)
        w = np.concatenate([np.linspace(0.0, top, 81)[1:], near[near < top]])
        power, slope = prototype.power_and_slope((w / centre) ** 2)
        heard = np.where(w * rate_hz <= 2.0 * math.pi * HEARD_HZ, 1.0, 0.1)
        steep = 10.0 / math.log(10.0) * np.abs(slope) * np.minimum(1.0, (power / DEEP) ** 0.25) * heard
        floor = 0.03 * steep.max() or 1.0  # a flat curve has no slope: any r will do
        return cls(centre, w * w, np.sin(w / 2.0) ** 2, steep + floor)

    def error_db(self, stand: Stand) -> float:
        """The largest weighted error of the finished filter on the grid."""
        return float(np.max(self.weight * np.abs(stand.at(self.x) / self.u - 1.0)))


def _fit(curve: _Curve, degree: int) -> Stand | None:
    """The r of this degree whose largest weighted distance from w² is least; None if not positive.

    Linear least squares with the last denominator as a weight (C. K. Sanathanan, J. Koerner, IEEE
    Trans. Automatic Control 8(1), 1963) and Lawson's reweighting towards the smallest maximum (C. L.
    Lawson, thesis, UCLA 1961). r is exact at the centre where that lies inside the grid.
    """
    powers = curve.x[:, np.newaxis] ** np.arange(1, degree + 1)
    columns = np.concatenate([powers / curve.u[:, np.newaxis], -powers], axis=1)
    pinned = curve.centre < FIT_TO * math.pi
    pin = _pin(curve.centre, degree)
    target = np.ones(len(columns))
    if pinned:
        lead = columns[:, 0] / pin[0]
        target, columns = target - lead, columns[:, 1:] - lead[:, np.newaxis] * np.array(pin[1:])
    below, often = np.ones_like(curve.x), np.ones_like(curve.x)
    for _ in range(PASSES):
        weight = curve.weight / below * np.sqrt(often)
        found = np.linalg.lstsq(columns * weight[:, np.newaxis], target * weight, rcond=None)[0]
        free = [steady(float(value), FIT_BITS) for value in found]
        if pinned:
            free.insert(0, (1.0 - sum(p * f for p, f in zip(pin[1:], free, strict=True))) / pin[0])
        stand = Stand(free[0], 0.0, free[1], 0.0) if degree == 1 else Stand(*free)
        below = stand.below(curve.x)
        missed = curve.weight * np.abs(stand.at(curve.x) / curve.u - 1.0)
        often = often * (missed / missed.max() + 0.05)
        often /= often.mean()
    return stand if _positive(stand) else None


def _pin(centre: float, degree: int) -> list[float]:
    """What the coefficients are multiplied with so that the sum is 1 where r is exact at the centre."""
    x = steady(math.sin(centre / 2.0) ** 2)
    powers = [x, x * x][:degree]
    return [power / (centre * centre) for power in powers] + [-power for power in powers]


def _positive(stand: Stand) -> bool:
    x = np.linspace(0.0, 1.0, 65)
    return bool(np.all(stand.n1 + stand.n2 * x > 0.0) and np.all(stand.below(x) > 0.0))


def _sections(section: AnalogueSection, centre: float, stand: Stand) -> list[list[float]]:
    """The digital sections of one analogue section, each of unit gain where the whole is set."""
    num, den = section[:3], section[3:]
    above = _quadratics(_digital(num, centre, stand) + _unmatched(num, den) * _to_z(stand.poles()))
    below = _quadratics(_digital(den, centre, stand))
    below.sort(key=lambda pole: -pole[1])
    at_zero = num[2] != 0.0  # a high-pass lets nothing through at 0 Hz: it is set at rate / 4
    gain = num[2] / den[2] if at_zero else _quarter_gain(num, den, centre, stand)
    rows = []
    for pole in below:
        zero = min(above, key=lambda each: abs(each[0] - pole[0]) + abs(each[1] - pole[1]))
        above.remove(zero)
        gain *= _size(pole, at_zero) / _size(zero, at_zero)
        rows.append([gain, gain * zero[0], gain * zero[1], pole[0], pole[1]])
        gain = 1.0
    return rows


def _digital(polynomial: tuple[float, ...], centre: float, stand: Stand) -> list[complex]:
    """The roots z inside the unit circle that stand for the roots of c2 s² + c1 s + c0."""
    c2, c1, c0 = polynomial
    # |c2 s² + c1 s + c0|² at s = j√v is this quadratic in v
    found = roots(complex(c2 * c2), complex(c1 * c1 - 2.0 * c0 * c2), complex(c0 * c0))
    return [z for v in found for z in _to_z(stand.solve(v * (centre * centre)))]


def _unmatched(num: tuple[float, ...], den: tuple[float, ...]) -> int:
    """How many more roots the denominator has than the numerator."""
    return max(k for k in range(3) if den[2 - k]) - max(k for k in range(3) if num[2 - k])


def _quarter_gain(num: tuple[float, ...], den: tuple[float, ...], centre: float, stand: Stand) -> float:
    """|H| of the analogue section at the frequency that r puts at a quarter of the sampling rate."""
    v = float(stand.at(np.array(0.5))) / (centre * centre)
    above, below = ((c[2] - c[0] * v) ** 2 + c[1] * c[1] * v for c in (num, den))
    return math.sqrt(above / below)


def _size(coefficients: tuple[float, float], at_zero: bool) -> float:
    """|1 + c1/z + c2/z²| at 0 Hz, or at a quarter of the sampling rate."""
    c1, c2 = coefficients
    return 1.0 + c1 + c2 if at_zero else math.sqrt((1.0 - c2) ** 2 + c1 * c1)


def _to_z(found: list[complex]) -> list[complex]:
    """z inside the unit circle with sin²(w/2) = x, that is z + 1/z = 2 - 4x; two to each x, one kept."""
    return [1.0 / max(both, key=abs) for both in (conjugate_halves(x) for x in found)]


def _quadratics(found: list[complex]) -> list[tuple[float, float]]:
    """c1 c2 of 1 + c1/z + c2/z²: one for each conjugate pair, one for two real roots."""
    pairs = [monic(z) for z in found if z.imag]
    reals = sorted(z.real for z in found if not z.imag)
    reals += [0.0] * (len(reals) % 2)
    return pairs + [(-a - b, a * b) for a, b in zip(reals[::2], reals[1::2], strict=True)]
