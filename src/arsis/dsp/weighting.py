"""The K-weighting filter of ITU-R BS.1770-5, Annex 1, at any rate."""

from __future__ import annotations

import math
from functools import cache

import numpy as np

from arsis.audio import Block
from arsis.errors import ArsisError

# The analogue filter whose bilinear transform at 48 kHz is the standard's Tables 1 and 2 (libebur128,
# ebur128.c; agrees with both tables to 1e-15).
SHELF_HZ = 1681.974450955533
SHELF_DB = 3.999843853973347
SHELF_Q = 0.7071752369554196
SHELF_BAND_EXPONENT = 0.4996667741545416
HIGH_PASS_HZ = 38.13547087602444
HIGH_PASS_Q = 0.5003270373238773
TABLE_RATE_HZ = 48_000
LEAST_RATE_HZ = 8_000  # below twice the shelf's frequency there is no such filter; this leaves room


def _shelf(rate_hz: int) -> list[float]:
    k = math.tan(math.pi * SHELF_HZ / rate_hz)
    high = 10.0 ** (SHELF_DB / 20.0)
    band = high**SHELF_BAND_EXPONENT
    a0 = 1.0 + k / SHELF_Q + k * k
    return [
        (high + band * k / SHELF_Q + k * k) / a0,
        2.0 * (k * k - high) / a0,
        (high - band * k / SHELF_Q + k * k) / a0,
        2.0 * (k * k - 1.0) / a0,
        (1.0 - k / SHELF_Q + k * k) / a0,
    ]


def _high_pass(rate_hz: int) -> tuple[float, float]:
    k = math.tan(math.pi * HIGH_PASS_HZ / rate_hz)
    a0 = 1.0 + k / HIGH_PASS_Q + k * k
    return 2.0 * (k * k - 1.0) / a0, (1.0 - k / HIGH_PASS_Q + k * k) / a0


def _gain_at_half_rate(a1: float, a2: float) -> float:
    return 4.0 / (1.0 - a1 + a2)


@cache
def k_weighting(rate_hz: int) -> Block:
    """Coefficients (2, 5), rows b0 b1 b2 a1 a2: the shelf, then the high-pass.

    The standard's high-pass has the numerator 1 -2 1, which at 48 kHz passes 0.043 dB more than unity.
    Other rates must have "the same frequency response" (Annex 1), so there the numerator is scaled to
    pass as much; the plain transform would read 0.017 dB low at 96 kHz and 0.027 dB low at 192 kHz.
    """
    if rate_hz < LEAST_RATE_HZ:
        raise ArsisError(f"cannot meter loudness at {rate_hz} Hz: allowed from {LEAST_RATE_HZ} Hz")
    a1, a2 = _high_pass(rate_hz)
    scale = _gain_at_half_rate(*_high_pass(TABLE_RATE_HZ)) / _gain_at_half_rate(a1, a2)
    return np.array([_shelf(rate_hz), [scale, -2.0 * scale, scale, a1, a2]])
