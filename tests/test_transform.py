"""The spectra of many signals, and how far they agree with one, against numpy's transforms in float64."""

from __future__ import annotations

import numpy as np
import pytest

from arsis.dsp.agreement import Agreement, size_for
from arsis.dsp.kernels import transform as kernel
from arsis.dsp.transform import quick_size, spectra
from tests.signals import noise
from tests.tolerances import SPECTRUM_SHARE

pytestmark = pytest.mark.kernels


def signals(count: int, samples: int) -> np.ndarray:
    return noise(count * samples, 1)[0].astype(np.float32).reshape(count, samples)


@pytest.mark.parametrize(
    ("count", "samples", "least"),
    [
        (1, 32, 32),
        (3, 31, 40),
        (8, 100, 100),
        (9, 90, 120),
        (5, 900, 1_300),
        (17, 1_985, 2_338),
        (2, 8_160, 8_544),
    ],
)
def test_every_bin_is_numpys(count: int, samples: int, least: int) -> None:
    x, window, size = (
        signals(count, samples),
        np.hanning(samples + 2)[1:-1].astype(np.float32),
        quick_size(least),
    )
    expected = np.fft.rfft(x.astype(np.float64) * window, size)[:, :-1]
    assert np.abs(spectra(x, window, size) - expected).max() < SPECTRUM_SHARE * np.abs(expected).max()


@pytest.mark.parametrize("least", [1, 33, 1_000, 4_097, 8_192, 8_193, 150_000])
def test_a_size_is_large_enough_and_little_larger(least: int) -> None:
    size = quick_size(least)
    assert least <= size <= max(32, 1.5 * least)


def test_a_signal_has_the_same_bits_whatever_it_travels_with() -> None:
    x, window = signals(11, 500), np.ones(500, np.float32)
    together = spectra(x, window, 512)
    assert all(np.array_equal(spectra(x[i : i + 1], window, 512)[0], together[i]) for i in range(11))


def test_a_size_the_kernel_cannot_make_is_refused() -> None:
    out = np.empty((1, 8), np.float32)
    places, window = np.zeros(11, np.int64), np.ones(8, np.float32)
    with pytest.raises(ValueError, match="powers of four"):
        kernel.transforms(window, 8, window, places, window, out, 1)


@pytest.mark.parametrize(
    ("count", "low", "high", "most"), [(1, 1, 5, 9), (13, 7, 91, 45), (37, 40, 871, 602), (3, 60, 1_100, 700)]
)
def test_the_best_shift_is_the_correlations_peak(count: int, low: int, high: int, most: int) -> None:
    rng, size = np.random.default_rng(count), size_for(high)
    bins = (rng.normal(size=(count, high - low)) + 1j * rng.normal(size=(count, high - low))).astype(
        np.complex64
    )
    template = bins[count // 2]
    whole = np.zeros((count, size // 2 + 1), complex)
    whole[:, low:high] = bins * np.conj(template)
    near = np.roll(np.fft.irfft(whole, size) * size / 2.0, most - 1, axis=1)[:, : 2 * most - 1]
    agrees, shift = Agreement(bins, low, size, most).best(template)
    assert agrees == pytest.approx(near.max(axis=1), rel=SPECTRUM_SHARE)
    assert np.array_equal(np.rint(shift), near.argmax(axis=1) - (most - 1))


def test_a_shift_between_two_steps_is_found_between_them() -> None:
    """A band-limited signal delayed by a share of a step (the shift theorem)."""
    low, high = 10, 200
    size, late = size_for(high), np.array([[0.0], [3.3], [-7.4]])
    bins = np.exp(-2j * np.pi * np.arange(low, high) * late / size).astype(np.complex64)
    agrees, shift = Agreement(bins, low, size, 20).best(bins[0])
    assert shift == pytest.approx(late[:, 0], abs=0.02)
    assert agrees == pytest.approx(high - low, rel=0.05)


def test_a_size_for_more_bins_than_there_are_is_refused() -> None:
    with pytest.raises(ValueError, match="4096"):
        size_for(4_097)
