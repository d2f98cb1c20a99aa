"""The spectra of long signals against numpy's transform."""

from __future__ import annotations

import numpy as np
import pytest

from arsis.dsp.kernels import long_transform as kernel
from arsis.dsp.long_transform import _plan, spectra
from arsis.dsp.windows import hann
from tests.signals import noise
from tests.tolerances import ALGEBRA, EXACT

pytestmark = pytest.mark.kernels


@pytest.mark.parametrize("samples", [1 << power for power in range(5, 17)])
def test_every_bin_is_numpys(samples: int) -> None:
    x, window, power = noise(samples, 3), hann(samples), np.ones(samples // 2 + 1)
    expected = np.fft.rfft(x * window)
    largest = np.abs(expected).max()
    assert np.abs(spectra(x, window, power) - expected).max() < ALGEBRA * largest
    assert np.abs(power - 1.0 - (np.abs(expected) ** 2).sum(axis=0)).max() < ALGEBRA * largest**2


@pytest.mark.parametrize("sample", [0, 1, 6, 7, 8, 1_001, 2_047])
def test_an_impulse_has_every_frequency(sample: int) -> None:
    x = np.zeros((1, 2_048))
    x[0, sample] = 1.0
    found = spectra(x, np.ones(2_048), np.zeros(1_025))
    assert np.abs(found - np.fft.rfft(x)).max() < ALGEBRA


def test_a_signal_has_the_same_bits_whatever_comes_before() -> None:
    x, window = noise(4_096, 5), hann(4_096)
    together = spectra(x, window, np.zeros(2_049))
    for one, there in zip(x, together, strict=True):
        assert np.array_equal(spectra(one[np.newaxis], window, np.zeros(2_049))[0], there)


def test_silence_stays_silent() -> None:
    power = np.zeros(513)
    assert np.abs(spectra(np.zeros((2, 1_024)), hann(1_024), power)).max() == EXACT
    assert power.max() == EXACT


@pytest.mark.parametrize("samples", [0, 16, 96, 1_000])
def test_other_sizes_are_refused(samples: int) -> None:
    with pytest.raises(ValueError, match="powers of four"):
        kernel.long_transforms(
            np.zeros((1, samples)), np.zeros(samples), *_plan(64), np.zeros((1, 33), complex), np.zeros(33)
        )


@pytest.mark.parametrize("wrong", ["window", "places", "turns", "out", "power"])
def test_what_does_not_fit_is_refused(wrong: str) -> None:
    places, turns, parts = _plan(64)
    given = {
        "x": np.zeros((2, 64)), "window": np.zeros(64), "places": places, "turns": turns, "parts": parts,
        "out": np.zeros((2, 33), complex), "power": np.zeros(33),
    }  # fmt: skip
    kernel.long_transforms(*given.values())
    given[wrong] = given[wrong][:-1]
    with pytest.raises(ValueError, match="not fit"):
        kernel.long_transforms(*given.values())


def test_places_outside_are_refused() -> None:
    places, turns, parts = _plan(64)
    with pytest.raises(ValueError, match="places"):
        kernel.long_transforms(
            np.zeros((1, 64)),
            np.zeros(64),
            places + 1,
            turns,
            parts,
            np.zeros((1, 33), complex),
            np.zeros(33),
        )
