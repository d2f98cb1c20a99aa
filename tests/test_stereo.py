"""Width: what is alike in both channels is never touched."""

from __future__ import annotations

import numpy as np
import pytest
import scipy.signal as ss
from hypothesis import given, settings
from hypothesis import strategies as st

from arsis.process import apply
from arsis.settings import Width
from tests.signals import RATES, noise
from tests.tolerances import ALGEBRA, FIT_DB

RATE = 48_000

widths = st.builds(Width, side_db=st.floats(-60.0, 12.0), fold_below_hz=st.floats(0.0, 500.0))


def middle(x: np.ndarray) -> np.ndarray:
    return np.asarray(x[0] + x[1]) / 2


def side(x: np.ndarray) -> np.ndarray:
    return np.asarray(x[0] - x[1]) / 2


@given(width=widths)
@settings(max_examples=40)
def test_the_middle_stays(width: Width) -> None:
    x = noise(3_000)
    np.testing.assert_allclose(middle(apply(width, x, RATE)), middle(x), rtol=0, atol=ALGEBRA)


@given(width=widths)
@settings(max_examples=40)
def test_a_mix_in_the_middle_stays_bit_for_bit(width: Width) -> None:
    x = np.tile(noise(3_000, channels=1), (2, 1))
    assert np.array_equal(apply(width, x, RATE), x)


def test_mono_has_no_width() -> None:
    x = noise(100, channels=1)
    assert np.array_equal(apply(Width(side_db=-20.0, fold_below_hz=200.0), x, RATE), x)


@given(side_db=st.floats(-60.0, 12.0))
@settings(max_examples=40)
def test_the_sides_get_their_gain(side_db: float) -> None:
    x = noise(500)
    want = side(x) * 10.0 ** (side_db / 20.0)
    np.testing.assert_allclose(side(apply(Width(side_db=side_db), x, RATE)), want, rtol=0, atol=ALGEBRA)


@pytest.mark.parametrize("rate_hz", RATES)
@pytest.mark.parametrize("fold_below_hz", [30.0, 120.0, 500.0])
def test_the_sides_fold_below_the_frequency(rate_hz: int, fold_below_hz: float) -> None:
    """Their response is that of an analogue Butterworth of second order (scipy.signal.butter)."""
    x = np.zeros((2, rate_hz))
    x[0, 0] = 1.0
    out = side(apply(Width(fold_below_hz=fold_below_hz), x, rate_hz)) / side(x)[0]
    freq_hz = np.fft.rfftfreq(rate_hz, 1 / rate_hz)
    heard = (freq_hz > fold_below_hz / 3) & (freq_hz < 16_000.0)
    b, a = ss.butter(2, fold_below_hz, btype="high", analog=True)
    want = ss.freqs(b, a, freq_hz[heard])[1]
    level_db = 20.0 * np.log10(np.abs(np.fft.rfft(out)[heard]))
    np.testing.assert_allclose(level_db, 20.0 * np.log10(np.abs(want)), rtol=0, atol=FIT_DB)


@pytest.mark.parametrize("fold_below_hz", [1e-200, 0.01, 0.99])
def test_a_fold_far_below_hearing_leaves_the_sides(fold_below_hz: float) -> None:
    x = noise(4_000)
    assert np.array_equal(apply(Width(fold_below_hz=fold_below_hz), x, RATE), x)
