"""Noise that is the same in any blocks, the right size, and shaped as published."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from arsis.dsp.dither import SHAPERS, Quantiser
from tests import naive_dither
from tests.dithered import CURVES_DB
from tests.signals import noise
from tests.tolerances import DITHER_MEAN_STEPS, DITHER_VARIANCE_SHARE, NTF_MEAN_DB, SHAPED_GAIN_DB

pytestmark = pytest.mark.kernels

KINDS = ("none", "flat", *SHAPERS)
STEP_16 = 2.0**-15


def transfer(kind: str) -> np.ndarray:
    return np.concatenate([[1.0], -np.array(SHAPERS[kind])])


@pytest.mark.parametrize("kind", ["flat", *SHAPERS])
def test_the_kernel_is_its_naive_twin(kind: str) -> None:
    block = noise(700, seed=3)
    exact = np.zeros(700, np.uint8)
    exact[200:215], exact[400], exact[512:700] = 1, 1, 1
    quantiser = Quantiser(16, 2, seed=99, kind=kind)
    starts = [int(start) for start in quantiser._starts]
    expected = naive_dither.quantise(block, 16, starts, SHAPERS.get(kind, ()), exact)
    assert np.array_equal(quantiser.process(block, exact), expected)


def test_the_generator_gives_its_published_numbers() -> None:
    """Reference outputs of SplitMix64 for seed 1234567, as listed with public implementations."""
    state, found = 1234567, []
    for _ in range(3):
        state = (state + 0x9E3779B97F4A7C15) & (1 << 64) - 1
        found.append(naive_dither.splitmix64(state))
    assert found == [6457827717110365317, 3203168211198807973, 9817491932198370423]


@settings(derandomize=True, deadline=None, max_examples=40)
@given(
    st.sampled_from(KINDS), st.lists(st.integers(0, 700), max_size=8), st.sampled_from((1, 2)), st.booleans()
)
def test_blocks_do_not_matter(kind: str, cuts: list[int], channels: int, marked: bool) -> None:
    block = noise(1_500, channels, seed=4)
    marks = (np.random.default_rng(1).random(1_500) < 0.3).astype(np.uint8) if marked else None
    whole = Quantiser(16, channels, 5, kind).process(block, marks)
    quantiser, parts, start = Quantiser(16, channels, 5, kind), [], 0
    for size in (*cuts, 1, 1_500):
        part = slice(start, start + size)
        parts.append(
            quantiser.process(np.ascontiguousarray(block[:, part]), None if marks is None else marks[part])
        )
        start = min(start + size, 1_500)
    assert np.array_equal(np.concatenate(parts, axis=1), whole)


@given(st.integers(0, 2**64 - 1), st.integers(0, 4_000))
@settings(derandomize=True, deadline=None, max_examples=30)
def test_flat_noise_may_start_anywhere(seed: int, start: int) -> None:
    block = noise(4_096, seed=6)
    late = Quantiser(24, 2, seed, first_frame=start).process(np.ascontiguousarray(block[:, start:]))
    assert np.array_equal(late, Quantiser(24, 2, seed).process(block)[:, start:])


def test_a_channel_does_not_know_of_the_other() -> None:
    block = noise(2_000, seed=7)
    for kind in KINDS:
        both = Quantiser(16, 2, 8, kind).process(block)
        assert np.array_equal(Quantiser(16, 1, 8, kind).process(block[:1].copy()), both[:1])


@pytest.mark.parametrize("fraction", [0.0, 0.1, 0.25, 0.5])
def test_mean_and_variance_do_not_depend_on_the_sound(fraction: float) -> None:
    """Lipshitz, Wannamaker and Vanderkooy 1992: triangular noise leaves mean 0 and variance 1/4 step^2."""
    steady = np.full((2, 1 << 19), fraction * STEP_16)
    errors = Quantiser(16, 2, 10).process(steady) - fraction
    assert abs(errors.mean()) < DITHER_MEAN_STEPS
    assert abs(errors.var() / 0.25 - 1.0) < DITHER_VARIANCE_SHARE


def test_seeds_channels_and_neighbours_share_nothing() -> None:
    silence = np.zeros((2, 1 << 18))
    streams = [row for seed in (0, 1, 2**63) for row in Quantiser(24, 2, seed).process(silence)]
    shifted = [stream[1:] for stream in streams] + [stream[:-1] for stream in streams]
    together = np.corrcoef(np.stack(shifted))
    independent = together - np.eye(len(shifted))
    # six streams, each with itself one frame later: nothing beyond chance, 6 sigma at this length
    assert np.abs(independent).max() < 6.0 / np.sqrt(1 << 18)


@pytest.mark.parametrize("fraction", [0.0, 0.1, 0.25, 0.4, 0.5])
def test_the_noise_is_triangular(fraction: float) -> None:
    """P(output > k) = P(d > k + 1/2 - fraction), with P(d > t) = (1 - t)^2 / 2 for t in [0, 1]."""
    found = Quantiser(16, 2, 3).process(np.full((2, 1 << 18), fraction * STEP_16))
    for step in (-1, 0):
        t = step + 0.5 - fraction
        expected = (1 - t) ** 2 / 2 if t >= 0 else 1 - (1 + t) ** 2 / 2
        sigma = np.sqrt(expected * (1 - expected) / found.size)
        assert abs((found > step).mean() - expected) <= 5 * sigma
    assert found.min() >= -1
    assert found.max() <= 2


@pytest.mark.parametrize("kind", SHAPERS)
def test_a_shaper_is_the_published_one(kind: str) -> None:
    """Gain from the check values; Gerzon and Craven, "Optimal noise shaping and dither of digital signals",
    AES 87 (1989): the mean of log|NTF| is 0 where every zero lies within the unit circle."""
    response = transfer(kind)
    assert 10 * np.log10(np.sum(response**2)) == pytest.approx(CURVES_DB[kind], abs=SHAPED_GAIN_DB / 10)
    assert np.abs(np.roots(response)).max() < 1.0
    assert abs(np.mean(20 * np.log10(np.abs(np.fft.fft(response, 1 << 16))))) < NTF_MEAN_DB


@pytest.mark.parametrize("kind", SHAPERS)
def test_the_error_has_the_power_and_the_spectrum_of_its_shaper(kind: str) -> None:
    """Error of triangular noise is 1/4 step^2, white; shaped, its spectrum is that times |NTF|^2."""
    sound = noise(1 << 18, seed=12, rms=0.05)
    error = Quantiser(16, 2, 13, kind).process(sound) - sound / STEP_16
    assert 10 * np.log10(error.var() / 0.25) == pytest.approx(CURVES_DB[kind], abs=SHAPED_GAIN_DB)
    blocks = error.reshape(-1, 512) * np.hanning(512)
    power = np.mean(np.abs(np.fft.rfft(blocks)) ** 2, axis=0) / np.sum(np.hanning(512) ** 2)
    expected = 0.25 * np.abs(np.fft.rfft(transfer(kind), 512)) ** 2
    bands = [(power[at : at + 16].sum(), expected[at : at + 16].sum()) for at in range(8, 248, 16)]
    assert max(abs(10 * np.log10(found / right)) for found, right in bands) < 4 * SHAPED_GAIN_DB


def test_none_is_the_nearest_integer() -> None:
    block = noise(5_000, seed=14)
    assert np.array_equal(
        Quantiser(16, 2, 1, "none").process(block), np.rint(block / STEP_16).astype(np.int32)
    )


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("bits", [16, 24, 32])
def test_exact_frames_pass_exactly(kind: str, bits: int) -> None:
    top = 1 << (bits - 1)
    words = np.random.default_rng(15).integers(-top, top, (2, 3_000), dtype=np.int64).astype(np.int32)
    words[:, :2] = -top, top - 1
    block = words / float(top)
    marks = np.ones(3_000, np.uint8)
    assert np.array_equal(Quantiser(bits, 2, 1, kind).process(block, marks), words)
    marks[1_000:1_100] = 0  # and a stretch of noise between leaves no trace after it
    found = Quantiser(bits, 2, 1, kind).process(block, marks)
    assert np.array_equal(found[:, marks == 1], words[:, marks == 1])
    assert (kind == "none") == np.array_equal(found, words)


@pytest.mark.parametrize("kind", KINDS)
def test_peaks_past_full_scale_are_clipped_and_counted(kind: str) -> None:
    block = np.zeros((2, 1_000))
    block[0, 100:110], block[1, 200] = 1.5, -1e300
    quantiser = Quantiser(16, 2, 1, kind)
    found = quantiser.process(block)
    assert quantiser.clipped == 11
    assert (found[0, 100:110] == 32_767).all()
    assert found[1, 200] == -32_768
    # the loop settles: what follows is no louder than the shaper's own noise
    assert np.abs(found[:, 300:]).max() < 60


def test_no_block_at_all() -> None:
    assert Quantiser(16, 2, 1).process(np.zeros((2, 0))).shape == (2, 0)


def test_wrong_requests_are_refused() -> None:
    with pytest.raises(ValueError, match="33 bits"):
        Quantiser(33, 2, 1)
    with pytest.raises(ValueError, match="pink"):
        Quantiser(16, 2, 1, "pink")
    with pytest.raises(ValueError, match="1 channels in a stream of 2"):
        Quantiser(16, 2, 1).process(np.zeros((1, 5)))
    with pytest.raises(ValueError, match="marks for 5 frames"):
        Quantiser(16, 2, 1).process(np.zeros((2, 5)), np.zeros(4, np.uint8))
