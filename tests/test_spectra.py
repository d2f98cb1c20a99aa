"""The spectra of the section finder against numpy's transform in float64, and against travelling together."""

from __future__ import annotations

import numpy as np
import pytest

from arsis.dsp.kernels import spectra as kernel
from arsis.dsp.spectra import SIZE, Bank, compressed_sums, power_sums
from tests import naive_spectra
from tests.signals import noise
from tests.tolerances import EXACT, SPECTRUM_SHARE

pytestmark = pytest.mark.kernels

BINS = SIZE // 2 + 1
EVERY_BIN = Bank.of(np.eye(BINS, dtype=np.float32))
LEAST = 1e-7


def samples(frames: int, hop: int) -> np.ndarray:
    return noise((frames - 1) * hop + SIZE, 1)[0].astype(np.float32)


@pytest.mark.parametrize(("frames", "hop"), [(1, 512), (7, 512), (8, 2048), (9, 333), (20, 1)])
def test_every_bin_has_its_power(frames: int, hop: int) -> None:
    x = samples(frames, hop)
    power = naive_spectra.powers(x, frames, hop, SIZE)
    found = power_sums(x, frames, hop, EVERY_BIN)
    assert np.abs(found - power).max() < SPECTRUM_SHARE * power.max()


@pytest.mark.parametrize("sample", [0, 1, 2, 700, 1024, 1025, 2046, 2047])
def test_an_impulse_has_every_frequency(sample: int) -> None:
    x = np.zeros(SIZE, np.float32)
    x[sample] = 1.0
    power = naive_spectra.powers(x, 1, 1, SIZE)
    assert power_sums(x, 1, 1, EVERY_BIN) == pytest.approx(power, rel=SPECTRUM_SHARE, abs=1e-20)


@pytest.mark.parametrize("bin_number", [0, 2, 341, 512, 1022, 1024])
def test_a_tone_is_in_its_bin(bin_number: int) -> None:
    x = np.cos(2.0 * np.pi * bin_number / SIZE * np.arange(SIZE)).astype(np.float32)
    power = naive_spectra.powers(x, 1, 1, SIZE)
    found = power_sums(x, 1, 1, EVERY_BIN)
    assert int(found[0].argmax()) == bin_number
    assert np.abs(found - power).max() < SPECTRUM_SHARE * power.max()


def test_sums_are_weighted_over_their_bins() -> None:
    matrix = np.zeros((BINS, 6), np.float32)
    rng = np.random.default_rng(3)
    for column, (first, last) in enumerate([(0, 1), (5, 8), (5, 9), (100, 105), (1000, 1025), (0, 1025)]):
        matrix[first:last, column] = rng.uniform(0.1, 1.0, last - first)
    x = samples(11, 512)
    expected = naive_spectra.powers(x, 11, 512, SIZE) @ matrix
    assert power_sums(x, 11, 512, Bank.of(matrix)) == pytest.approx(expected, rel=SPECTRUM_SHARE)


@pytest.mark.parametrize("quiet", [0.0, 1e-12, 1.0])
def test_magnitudes_are_compressed_against_their_median(quiet: float) -> None:
    """Also where the median is far below or zero: the tone alone, over nothing."""
    x = (quiet * samples(9, 512) + np.sin(0.1 * np.arange(8 * 512 + SIZE))).astype(np.float32)
    power = power_sums(x, 9, 512, EVERY_BIN)  # the transform's own rounding is not asked for here
    found = compressed_sums(x, 9, 512, EVERY_BIN, 2.5, LEAST)
    assert found == pytest.approx(
        naive_spectra.compressed(power.astype(float), 2.5, LEAST), rel=SPECTRUM_SHARE
    )


def test_silence_stays_silent() -> None:
    silent = np.zeros(SIZE, np.float32)
    assert power_sums(silent, 1, 1, EVERY_BIN).max() == EXACT
    assert compressed_sums(silent, 1, 1, EVERY_BIN, 2.5, LEAST).max() == EXACT


def test_frames_that_travel_together_change_no_bit() -> None:
    x = samples(19, 512)
    together = (power_sums(x, 19, 512, EVERY_BIN), compressed_sums(x, 19, 512, EVERY_BIN, 2.5, LEAST))
    for at in range(19):
        alone = x[at * 512 : at * 512 + SIZE]
        assert np.array_equal(together[0][at], power_sums(alone, 1, 512, EVERY_BIN)[0])
        assert np.array_equal(together[1][at], compressed_sums(alone, 1, 512, EVERY_BIN, 2.5, LEAST)[0])


@pytest.mark.parametrize(
    ("frames", "spans", "weights"),
    [(3, [[0, 4]], 4), (2, [[1022, 4]], 4), (2, [[0, 4]], 3), (2, [[-1, 4]], 4), (2, [[0, 4], [0, 4]], 8)],
)
def test_what_lies_past_an_array_is_refused(frames: int, spans: list[list[int]], weights: int) -> None:
    x, window = np.zeros(SIZE + 512, np.float32), np.zeros(SIZE, np.float32)
    turns, row = np.zeros(kernel.TURNS, np.float32), np.zeros(weights, np.float32)
    out = np.zeros((frames, 1), np.float32)
    with pytest.raises(ValueError, match="fit"):
        kernel.power_sums(x, 512, window, turns, np.array(spans), row, out)
