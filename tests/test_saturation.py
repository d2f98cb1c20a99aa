"""Saturator: level, harmonics and aliasing against the plain curve, whose spectrum is had by a fine FFT."""

from __future__ import annotations

from copy import deepcopy
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from arsis.process import apply, is_neutral
from arsis.process.saturation import SaturatorRunner, half_band, stage_reaches
from arsis.settings import Saturator

from . import naive_saturate
from .signals import RATES, noise, sine
from .tolerances import ALGEBRA, ALIAS_DB, ALIAS_HIGH_DB, ALIAS_LOW_DB, CURVE_DB, HALF_BAND_DB, SINGLE

pytestmark = pytest.mark.kernels

RATE = 44_100
HOT = Saturator(drive_db=12.0)
LOPSIDED = Saturator(drive_db=12.0, even=1.0)
PEAK = 10 ** (-1 / 20)


def spectrum_db(asked: Saturator, freq_hz: int, rate_hz: int = RATE) -> np.ndarray:
    """One second of a settled sine of −1 dBFS: peak level in dB for each whole Hz."""
    out = apply(asked, sine(freq_hz, rate_hz, 3.0, peak=PEAK, channels=1), rate_hz)[0, rate_hz : 2 * rate_hz]
    size = np.abs(np.fft.rfft(out)) * 2 / rate_hz
    size[0] /= 2
    return 20 * np.log10(np.maximum(size, 1e-12))


def alias_db(asked: Saturator, freq_hz: int, rate_hz: int = RATE) -> float:
    """The loudest product up to 20 kHz that is not a harmonic."""
    spectrum = spectrum_db(asked, freq_hz, rate_hz)[1:20_000]
    whole_hz = np.arange(1, 20_000)
    return float(np.max(spectrum[whole_hz % freq_hz != 0]))


def harmonic_db(asked: Saturator, number: int) -> float:
    """Of the plain curve, by a fine FFT of one period."""
    x = PEAK * np.sin(2 * np.pi * np.arange(1 << 14) / (1 << 14))
    y = naive_saturate.curve(x, asked.drive_db, asked.even)
    return float(20 * np.log10(np.abs(np.fft.rfft(y)[number]) / (1 << 13)))


@pytest.mark.parametrize(
    ("freq_hz", "bound_db"),
    [(997, ALIAS_LOW_DB), (4_997, ALIAS_LOW_DB), (9_997, ALIAS_DB), (14_983, ALIAS_HIGH_DB)],
)
@pytest.mark.parametrize("asked", [HOT, LOPSIDED], ids=["odd", "even"])
def test_aliasing_is_held_down(asked: Saturator, freq_hz: int, bound_db: float) -> None:
    assert alias_db(asked, freq_hz) < bound_db


@pytest.mark.parametrize("rate_hz", [r for r in RATES if r != RATE])
def test_aliasing_is_held_down_at_every_rate(rate_hz: int) -> None:
    assert alias_db(HOT, 9_997, rate_hz) < ALIAS_DB


def test_plain_curve_would_alias() -> None:
    """The measure itself: the same curve without help is far above every bound."""
    y = naive_saturate.curve(sine(9_997, RATE, 1.0, peak=PEAK, channels=1)[0], 12.0, 0.0)
    size = np.abs(np.fft.rfft(y)) * 2 / RATE
    assert 20 * np.log10(size[:20_000][np.arange(20_000) % 9_997 != 0].max()) > -45.0


@pytest.mark.parametrize("asked", [HOT, replace(HOT, drive_db=3.0), LOPSIDED], ids=repr)
@pytest.mark.parametrize("number", [1, 2, 3, 5])
def test_harmonics_are_those_of_the_curve(asked: Saturator, number: int) -> None:
    measured = spectrum_db(asked, 499)[number * 499]
    if number % 2 == 0 and asked.even == 0:
        assert measured < -140.0
    else:
        assert measured == pytest.approx(harmonic_db(asked, number), abs=CURVE_DB)


def test_symmetrical_has_odd_harmonics_only() -> None:
    spectrum = spectrum_db(HOT, 499)
    even = spectrum[2 * 499 :: 2 * 499]
    assert np.max(even) < -140.0
    assert spectrum[3 * 499] > -25.0


def test_more_drive_and_more_even_are_more() -> None:
    spectra = [spectrum_db(Saturator(drive_db=d), 499) for d in (1.0, 3.0, 6.0, 12.0)]
    third = [spectrum[3 * 499] - spectrum[499] for spectrum in spectra]
    second = [spectrum_db(Saturator(drive_db=6.0, even=e), 499)[2 * 499] for e in (0.1, 0.3, 1.0)]
    assert np.all(np.diff(third) > 1.0)
    assert np.all(np.diff(second) > 3.0)


@pytest.mark.parametrize("even", [0.3, 1.0])
@pytest.mark.parametrize("drive_db", [0.5, 1.0, 3.0, 6.0, 12.0])
def test_the_side_away_from_the_bias_stays_near_full_scale(drive_db: float, even: float) -> None:
    """A curve of slope 1 that bends one way is steeper on the other: full scale grows by 0.5 dB at most."""
    y = naive_saturate.curve(np.linspace(-1.0, 1.0, 400), drive_db, even)
    assert 20 * np.log10(np.max(np.abs(y))) < 0.5
    assert np.all(np.diff(y) > 0)


def test_no_offset_is_left() -> None:
    assert spectrum_db(LOPSIDED, 499)[0] < -120.0
    plain = naive_saturate.curve(sine(499, RATE, 1.0, peak=PEAK, channels=1)[0], 12.0, 1.0)
    assert abs(np.mean(plain)) > 0.01


@pytest.mark.parametrize("rate_hz", RATES)
@pytest.mark.parametrize("drive_db", [0.1, 3.0, 24.0])
def test_full_scale_comes_down_by_the_drive(drive_db: float, rate_hz: int) -> None:
    held = np.ones((1, 2_000))
    out = apply(Saturator(drive_db=drive_db), held, rate_hz)[0, 500:1_500]
    assert np.max(np.abs(out - 10 ** (-drive_db / 20))) < SINGLE


@pytest.mark.parametrize("even", [0.0, 1.0])
def test_small_signals_pass_unfiltered_and_in_place(even: float) -> None:
    """What is added to a signal of peak p is at most 1.5 k p³, or with a bias 3/4 √k p² more."""
    block = noise(8_000, rms=1e-5)
    k, peak = 10**1.2 - 1, np.max(np.abs(block))
    added = apply(replace(HOT, even=even), block, RATE) - block
    assert np.max(np.abs(added)) < 1.5 * k * peak**3 + 2 * even * np.sqrt(k) * peak**2 + 1e-6 * even * peak


def test_any_finite_input_stays_finite() -> None:
    block = noise(2_000)
    block[:, ::7] *= 1e300
    assert np.all(np.isfinite(apply(Saturator(drive_db=24.0, even=1.0), block, RATE)))


def test_a_little_drive_is_a_little_change() -> None:
    block = np.clip(noise(8_000), -1.0, 1.0)
    for even in (0.0, 1.0):
        change = apply(Saturator(drive_db=1e-4, even=even), block, RATE) - block
        assert 0 < np.max(np.abs(change)) < 5e-5  # k is 2.3e-5


@pytest.mark.parametrize(("drive_db", "within_db"), [(3.0, 0.1), (6.0, 0.1), (12.0, 0.1)])
@pytest.mark.parametrize("freq_hz", [4_997, 9_997, 15_991])
def test_level_at_the_top_is_that_of_the_curve(drive_db: float, freq_hz: int, within_db: float) -> None:
    asked = Saturator(drive_db=drive_db)
    assert spectrum_db(asked, freq_hz)[freq_hz] == pytest.approx(harmonic_db(asked, 1), abs=within_db)


@settings(derandomize=True, deadline=None, max_examples=20)
@given(drive=st.floats(0.5, 24), even=st.floats(0, 1), rate=st.sampled_from(RATES), peak=st.floats(0.1, 2))
def test_saturator_is_its_formula(drive: float, even: float, rate: int, peak: float) -> None:
    """Without the offset blocker, which is a plain filter: the kernel against float64 convolutions."""
    runner = SaturatorRunner(Saturator(drive_db=drive, even=even), rate, 1)
    runner._blocker = None
    block = np.clip(noise(3_000, 1, rms=peak / 3), -peak, peak)
    margin = runner.latency
    out = runner.process(np.pad(block, ((0, 0), (0, margin))))[0, margin:]
    sides = [half_band(taps)[:taps] for taps in stage_reaches(rate)]
    added = naive_saturate.added(np.pad(block[0], 200), drive, even, sides)[200:-200]
    assert np.max(np.abs(out - block[0] - added)) < SINGLE * max(1.0, peak)


@pytest.mark.parametrize("rate_hz", RATES)
@settings(derandomize=True, deadline=None, max_examples=15)
@given(cuts=st.lists(st.integers(0, 6_000), max_size=8))
def test_blocks_do_not_matter(rate_hz: int, cuts: list[int]) -> None:
    block = noise(6_000, rms=0.3)
    runner = SaturatorRunner(LOPSIDED, rate_hz, 2)
    edges = [0, *sorted(cuts), 6_000]
    parts = [deepcopy(runner).process(block[:, :0])] + [
        runner.process(block[:, a:b]) for a, b in pairwise(edges)
    ]
    assert np.array_equal(np.concatenate(parts, axis=1), SaturatorRunner(LOPSIDED, rate_hz, 2).process(block))


def test_one_frame_at_a_time() -> None:
    block = noise(300, rms=0.3)
    runner = SaturatorRunner(HOT, RATE, 2)
    parts = [runner.process(block[:, i : i + 1]) for i in range(300)]
    assert np.array_equal(np.concatenate(parts, axis=1), SaturatorRunner(HOT, RATE, 2).process(block))


@pytest.mark.parametrize("taps", [8, 32])
def test_half_band_filters(taps: int) -> None:
    """A half-band filter and its mirror sum to one; 100 dB by design (Kaiser's formula)."""
    whole = naive_saturate.full_half_band(half_band(taps)[:taps]) / 2
    gain = np.abs(np.fft.rfft(whole, 1 << 14))
    assert gain[0] == pytest.approx(1.0, abs=ALGEBRA)
    edge = 0.5 - (100 - 8) / (
        2.285 * 2 * np.pi * (4 * taps - 2)
    )  # half the transition below a quarter of the rate
    stop = gain[round((1 - edge) * (len(gain) - 1)) :]
    assert 20 * np.log10(stop.max()) < HALF_BAND_DB


def test_mid_only_leaves_the_side() -> None:
    block = noise(4_000, rms=0.3)
    out = apply(replace(HOT, channel="mid"), block, RATE)
    assert np.max(np.abs((out[0] - out[1]) - (block[0] - block[1]))) < ALGEBRA


def test_half_of_it_is_half_of_the_change() -> None:
    block = noise(4_000, rms=0.3)
    whole, half = apply(HOT, block, RATE) - block, apply(replace(HOT, mix=0.5), block, RATE) - block
    assert np.max(np.abs(half - 0.5 * whole)) < ALGEBRA


def test_no_drive_is_nothing_done() -> None:
    asked = Saturator(drive_db=0.0, even=1.0)
    assert is_neutral(asked)
    assert np.array_equal(apply(asked, noise(500), RATE), noise(500))
