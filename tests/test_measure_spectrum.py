"""Bands against closed forms (impulse, tones, shaped noise) and against scipy's Welch."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.signal import welch

from arsis.audio import Block, Span
from arsis.measure.spectrum import (
    BANDS_HZ,
    OCTAVE_RATIO,
    THIRD_OCTAVES,
    Spectrum,
    SpectrumMeter,
    frame_length,
)
from arsis.units import power_to_db
from tests.signals import RATES, noise, sine
from tests.tolerances import (
    BAND_NOISE_DB,
    LEVEL_DB,
    NEIGHBOUR_DB,
    NOISE_LU,
    TABLE_DB,
    TONE_BAND_DB,
    WIDE_NOISE_DB,
)


def spectrum(x: Block, rate_hz: int) -> Spectrum:
    meter = SpectrumMeter(rate_hz, x.shape[0], [Span(0, x.shape[1])])
    meter.add(x)
    return meter.spectra()[0]


def test_mid_frequencies_are_those_of_the_standard() -> None:
    # IEC 61260-1:2014, 5.4: exact mid-band frequencies of base-ten third octaves.
    assert THIRD_OCTAVES[17] == pytest.approx(1000.0)
    assert THIRD_OCTAVES[:8] == pytest.approx(
        [19.953, 25.119, 31.623, 39.811, 50.119, 63.096, 79.433, 100.0], abs=5e-4
    )
    assert THIRD_OCTAVES[17] * OCTAVE_RATIO ** (1 / 6) == pytest.approx(1122.018, abs=5e-4)


@pytest.mark.parametrize("rate_hz", RATES)
def test_an_impulse_rises_by_one_db_a_band(rate_hz: int) -> None:
    # Its spectrum is flat, and each band is 10^0.1 times as wide as the one before.
    x = np.zeros((1, 2 * rate_hz))
    x[0, frame_length(rate_hz) + 100] = 1.0
    levels = spectrum(x, rate_hz).third_octaves_db()
    within = [level for level, mid in zip(levels, THIRD_OCTAVES, strict=True) if mid * 1.13 < rate_hz / 2]
    np.testing.assert_allclose(np.diff(within), 1.0, rtol=0, atol=LEVEL_DB)


@pytest.mark.parametrize("rate_hz", [44_100, 48_000, 96_000])
def test_a_tone_lies_in_its_own_band(rate_hz: int) -> None:
    for number in (5, 10, 17, 25, 29):  # 63 Hz to 16 kHz
        x = sine(THIRD_OCTAVES[number], rate_hz, 3.0, peak=0.5, channels=1)
        levels = spectrum(x, rate_hz).third_octaves_db()
        assert levels[number] == pytest.approx(power_to_db(0.125), abs=TONE_BAND_DB)
        assert max(levels[: number - 1] + levels[number + 2 :]) < levels[number] - 30.0


def test_power_adds_up_to_the_mean_square() -> None:
    x = noise(20 * 44_100)
    whole = power_to_db(float(spectrum(x, 44_100).power.sum()))
    assert whole == pytest.approx(power_to_db(float(np.mean(x**2))), abs=NOISE_LU)


def test_pink_noise_is_level() -> None:
    # Power falling as 1/f holds as much in every third octave; random phases, 20 s, one period.
    count = 20 * 44_100
    freqs = np.fft.rfftfreq(count, 1 / 44_100)
    phases = np.random.default_rng(4).uniform(0, 2 * np.pi, freqs.size)
    lines = np.exp(1j * phases) / np.sqrt(np.maximum(freqs, 1.0))
    levels = spectrum(np.fft.irfft(lines)[np.newaxis], 44_100).third_octaves_db()[6:30]  # 80 Hz to 16 kHz
    np.testing.assert_allclose(levels, np.mean(levels), rtol=0, atol=BAND_NOISE_DB)


def test_as_welch() -> None:
    x = noise(20 * 48_000, 2, seed=8)
    x[1] = np.cumsum(x[1]) / 300
    length = frame_length(48_000)
    freqs, density = welch(x, 48_000, "hann", length, detrend=False, scaling="density")
    theirs = Spectrum(density.mean(axis=0) * freqs[1], float(freqs[1]))
    ours = spectrum(x, 48_000)
    np.testing.assert_allclose(ours.third_octaves_db(), theirs.third_octaves_db(), rtol=0, atol=LEVEL_DB)


def test_bands_are_relative_to_the_whole() -> None:
    # White noise: each band's share of 20 Hz to 20 kHz is its share of the width.
    bands = spectrum(noise(30 * 44_100), 44_100).bands()
    for name, (low, high) in BANDS_HZ.items():
        expected = power_to_db((high - low) / 19_980.0)
        assert getattr(bands, name) == pytest.approx(
            expected, abs=BAND_NOISE_DB if name == "low" else WIDE_NOISE_DB
        )


@pytest.mark.parametrize("frames", [100, 5000, 12_000])
def test_less_than_a_frame_has_a_spectrum_too(frames: int) -> None:
    x = sine(3000.0, 44_100, 1.0)[:, :frames]
    assert spectrum(x, 44_100).bands().presence == pytest.approx(0.0, abs=NEIGHBOUR_DB)


def test_a_frame_belongs_to_the_span_of_its_centre() -> None:
    rate_hz = 44_100
    x = np.concatenate([sine(100.0, rate_hz, 3.0), sine(5000.0, rate_hz, 3.0)], axis=1)
    meter = SpectrumMeter(rate_hz, 2, [Span(0, 3 * rate_hz), Span(3 * rate_hz, 6 * rate_hz), Span(5, 9)])
    meter.add(x)
    first, second, empty = meter.spectra()
    assert first.bands().low == pytest.approx(0.0, abs=NEIGHBOUR_DB)
    assert second.bands().presence == pytest.approx(0.0, abs=NEIGHBOUR_DB)
    assert first.bands().presence < -10.0
    assert empty.bands().low == -np.inf
    assert empty.third_octaves_db() == (-np.inf,) * 31


def test_half_a_bin_counts_half() -> None:
    flat = Spectrum(np.ones(100), 1.0)
    assert flat.band_powers([(10.25, 10.5), (9.5, 11.5)]) == pytest.approx([0.25, 2.0], abs=TABLE_DB)
