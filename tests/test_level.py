"""Gain, polarity and delay: closed forms."""

from __future__ import annotations

import numpy as np
import pytest
import scipy.signal as ss
from hypothesis import given, settings
from hypothesis import strategies as st

from arsis.process import apply, routed
from arsis.process.level import HALF_FRAMES, part_of_a_frame
from arsis.settings import Delay, Gain, Polarity
from tests.signals import noise, sine
from tests.tolerances import ALGEBRA, DELAY_DB, DELAY_FRAMES

RATE = 44_100


@given(gain_db=st.floats(-60.0, 24.0))
@settings(max_examples=40)
def test_a_gain_is_one_factor(gain_db: float) -> None:
    x = noise(50)
    np.testing.assert_allclose(
        apply(Gain(gain_db=gain_db), x, RATE), x * 10.0 ** (gain_db / 20.0), rtol=ALGEBRA
    )


def test_six_decibels_are_about_two() -> None:
    assert apply(Gain(gain_db=20.0), np.full((1, 1), 0.01), RATE)[0, 0] == pytest.approx(0.1, rel=ALGEBRA)


def test_polarity_turned_twice_is_the_signal() -> None:
    x = noise(100)
    once = apply(Polarity(), x, RATE)
    assert np.array_equal(once, -x)
    assert np.array_equal(apply(Polarity(), once, RATE), x)


def test_polarity_of_the_side_swaps_left_and_right() -> None:
    x = noise(100)
    np.testing.assert_allclose(apply(Polarity(channel="side"), x, RATE), x[::-1], rtol=0, atol=ALGEBRA)


@given(whole=st.integers(0, 300))
@settings(max_examples=30)
def test_whole_frames_pass_bit_for_bit(whole: int) -> None:
    x = noise(200)
    out = apply(Delay(delay_frames=float(whole)), x, RATE)
    assert np.array_equal(out, np.pad(x, ((0, 0), (whole, 0)))[:, :200])
    assert routed(Delay(delay_frames=float(whole)), RATE, 2).latency == 0


def test_one_channel_is_late_and_the_other_is_not() -> None:
    x = noise(200)
    out = apply(Delay(delay_frames=7.0, channel="right"), x, RATE)
    assert np.array_equal(out[0], x[0])
    assert np.array_equal(out[1, 7:], x[1, :-7])


@given(part=st.floats(0.001, 0.999))
@settings(max_examples=40)
def test_the_interpolator_is_flat_and_exactly_late(part: float) -> None:
    """Level and phase delay by scipy.signal.freqz up to 20.9 kHz at 44.1 kHz."""
    freq_hz = np.linspace(20.0, 0.95 * RATE / 2, 300)
    response = ss.freqz(part_of_a_frame(part), worN=freq_hz, fs=RATE)[1]
    assert np.abs(20.0 * np.log10(np.abs(response))).max() < DELAY_DB
    turn = 2.0 * np.pi * freq_hz / RATE
    error_frames = np.angle(response * np.exp(1j * turn * (HALF_FRAMES + part))) / turn
    assert np.abs(error_frames).max() < DELAY_FRAMES


@pytest.mark.parametrize("delay_frames", [0.5, 3.25, 40.9])
def test_a_sine_comes_out_later_by_the_delay(delay_frames: float) -> None:
    freq_hz = 3_000.0
    out = apply(Delay(delay_frames=delay_frames), sine(freq_hz, RATE, 0.5), RATE)
    late = sine(freq_hz, RATE, 0.5, phase=-2.0 * np.pi * freq_hz * delay_frames / RATE)
    inner = slice(1_000, -1_000)
    np.testing.assert_allclose(out[:, inner], late[:, inner], rtol=0, atol=1e-4)
