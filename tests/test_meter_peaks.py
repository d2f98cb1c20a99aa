"""True peak against closed forms and against an FFT interpolation that shares nothing with it."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.signal import resample

from arsis.audio import Block
from arsis.dsp.truepeak import design
from arsis.measure.cuts import GivenCuts
from arsis.measure.peaks import TruePeakMeter
from arsis.units import gain_to_db
from tests.signals import noise
from tests.tolerances import EXACT, LEVEL_DB, TRUE_PEAK_HIGH_DB, TRUE_PEAK_LOW_DB


def peak_dbtp(x: Block) -> float:
    meter = TruePeakMeter(x.shape[0])
    meter.add(x)
    return gain_to_db(meter.peak())


def swelled(freq: float, phase: float = 0.3, frames: int = 4000) -> Block:
    """A full-scale sine at `freq` of the rate, faded in and out so gently that only it is heard."""
    n = np.arange(frames)
    fade = np.sin(0.5 * np.pi * np.clip(np.minimum(n, frames - 1 - n) / (frames // 3), 0.0, 1.0)) ** 2
    return (fade * np.sin(2 * np.pi * freq * n + phase))[np.newaxis]


@pytest.mark.parametrize("freq", [0.001, 0.01, 0.1, 0.2, 0.2501, 0.3, 0.35, 0.4001, 0.43, 0.45])
def test_a_sine_reads_its_amplitude(freq: float) -> None:
    assert -TRUE_PEAK_LOW_DB <= peak_dbtp(swelled(freq)) <= TRUE_PEAK_HIGH_DB


def test_every_point_passes_every_frequency_alike() -> None:
    freqs = np.linspace(0.0, 0.45, 400)
    points = design().points
    response = np.abs(np.exp(2j * np.pi * np.outer(freqs, np.arange(points.shape[1]))) @ points.T)
    assert 20 * np.log10(response.max()) <= TRUE_PEAK_HIGH_DB
    assert 20 * np.log10(response.min()) >= -TRUE_PEAK_HIGH_DB


@pytest.mark.parametrize("seed", range(6))
def test_noise_reads_as_its_interpolation_by_fft(seed: int) -> None:
    # Periodic noise without content above 0.45 of the rate; two more periods keep the ends away.
    spectrum = np.fft.rfft(noise(2048, 1, seed)[0])
    spectrum[int(0.45 * 2048) :] = 0.0
    x = np.fft.irfft(spectrum)
    meter = TruePeakMeter(1, GivenCuts([2048, 4096]))
    meter.add(np.tile(x, 3)[np.newaxis])
    truth = gain_to_db(float(np.abs(resample(x, 64 * x.size)).max()))
    reading = gain_to_db(float(meter.peaks()[1]))
    assert truth - TRUE_PEAK_LOW_DB <= reading <= truth + TRUE_PEAK_HIGH_DB


@settings(derandomize=True, deadline=None, max_examples=40)
@given(seed=st.integers(0, 10_000), frames=st.integers(1, 900), spread=st.sampled_from([1e-7, 1.0, 1e3]))
def test_never_below_the_sample_peak(seed: int, frames: int, spread: float) -> None:
    x = spread * np.random.default_rng(seed).standard_cauchy((2, frames))
    meter = TruePeakMeter(2)
    meter.add(x)
    assert meter.peak() >= np.abs(x).max()


def test_the_first_and_the_last_sample_ring_too() -> None:
    # A step out of silence overshoots before the sound begins and after it ends.
    x = np.ones((1, 200))
    assert peak_dbtp(x) > gain_to_db(1.05)
    assert peak_dbtp(x) == pytest.approx(peak_dbtp(np.pad(x, ((0, 0), (100, 100)))), abs=EXACT)


def test_a_peak_belongs_to_the_frame_it_follows() -> None:
    # The largest value lies half-way between frames 500 and 501.
    x = np.zeros((1, 1000))
    x[0, 480:522] = np.sinc((np.arange(480, 522) - 500.5) * 0.7)
    for cut, piece in [(500, 1), (501, 0)]:
        meter = TruePeakMeter(1, GivenCuts([cut]))
        meter.add(x)
        assert meter.peaks().argmax() == piece
        assert gain_to_db(meter.peaks().max()) == pytest.approx(peak_dbtp(x), abs=LEVEL_DB)
