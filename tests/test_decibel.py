"""log2 and exp2 against numpy in 80-bit arithmetic (an independent implementation)."""

from __future__ import annotations

import numpy as np
import pytest

from arsis.dsp.kernels import decibel

from .tolerances import DECIBEL_RELATIVE, EXACT

pytestmark = pytest.mark.kernels

RNG = np.random.default_rng(1)
NUMBERS = {
    "all magnitudes": np.exp2(RNG.uniform(-1020, 1020, 200_000)),
    "audio": RNG.uniform(1e-7, 2.0, 200_000),
    "close to 1": 1.0 + RNG.choice([-1.0, 1.0], 200_000) * np.exp2(RNG.uniform(-52, -1, 200_000)),
    "around the cut of the mantissa": np.sqrt(0.5) * (1.0 + RNG.uniform(-1e-9, 1e-9, 200_000)),
}
EXPONENTS = {
    "all": RNG.uniform(-1000, 1000, 200_000),
    "gains": RNG.uniform(-10, 10, 200_000),
    "almost none": RNG.uniform(-1e-6, 1e-6, 200_000),
    "half-way between whole numbers": RNG.integers(-50, 50, 200_000)
    + 0.5
    + RNG.uniform(-1e-9, 1e-9, 200_000),
}

wide = pytest.mark.skipif(np.finfo(np.longdouble).nmant < 60, reason="no arithmetic wider than float64 here")


@wide
@pytest.mark.parametrize("name", NUMBERS)
def test_log2_is_right_to_the_last_bits(name: str) -> None:
    x = NUMBERS[name]
    x = x[x != 1.0]
    exact = np.log2(x.astype(np.longdouble))
    assert np.max(np.abs(decibel.log2(x) / exact - 1)) < DECIBEL_RELATIVE


@wide
@pytest.mark.parametrize("name", EXPONENTS)
def test_exp2_is_right_to_the_last_bits(name: str) -> None:
    x = EXPONENTS[name]
    assert np.max(np.abs(decibel.exp2(x) / np.exp2(x.astype(np.longdouble)) - 1)) < DECIBEL_RELATIVE


def test_whole_powers_are_exact() -> None:
    powers = np.arange(-1000.0, 1001.0)
    assert np.array_equal(decibel.exp2(powers), np.exp2(powers))
    assert np.max(np.abs(decibel.log2(np.exp2(powers)) - powers)) == EXACT


def test_silence_and_excess_stay_finite() -> None:
    assert -1024.0 < decibel.log2(np.zeros(3))[0] < -1022.0
    assert np.array_equal(
        decibel.exp2(np.array([-np.inf, np.inf])), decibel.exp2(np.array([-1000.0, 1000.0]))
    )


def test_vector_and_single_give_the_same_bits() -> None:
    x = NUMBERS["audio"][:1_000]
    assert np.array_equal(
        decibel.log2(x), np.concatenate([decibel.log2(x[i : i + 1]) for i in range(len(x))])
    )
    assert np.array_equal(
        decibel.exp2(x), np.concatenate([decibel.exp2(x[i : i + 1]) for i in range(len(x))])
    )


def test_decibels_of_known_gains() -> None:
    assert decibel.gains_to_db(np.array([1.0, 0.5, 10.0])) == pytest.approx(
        [0.0, -6.020599913279624, 20.0], abs=1e-13
    )
    assert decibel.db_to_gains(np.array([0.0, -20.0, 6.020599913279624])) == pytest.approx(
        [1.0, 0.1, 2.0], rel=1e-14
    )
