"""Each kernel of the meters against its naive twin, and against being cut up in any way."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from arsis.audio import Block
from arsis.dsp import truepeak
from arsis.dsp.weighting import k_weighting
from arsis.measure import peaks as peaks_module
from arsis.measure.cuts import GivenCuts, GridCuts
from arsis.measure.loudness import LoudnessMeter
from arsis.measure.peaks import TruePeakMeter
from arsis.measure.stereo import LevelMeter
from tests import naive_levels, naive_loudness, naive_truepeak
from tests.signals import noise
from tests.tolerances import ALGEBRA, SINGLE

pytestmark = pytest.mark.kernels

CUTS = st.lists(st.integers(1, 3000), max_size=5, unique=True).map(sorted)
BETAS = (truepeak.LONG_BETA, truepeak.SHORT_BETA)
modest = settings(derandomize=True, deadline=None, max_examples=25)


@pytest.mark.parametrize(
    ("rate_hz", "channels", "hops"), [(8000, 2, 100), (22_050, 1, 500), (44_100, 2, 500)]
)
def test_energies_are_those_of_the_difference_equation(rate_hz: int, channels: int, hops: int) -> None:
    x = noise(3001, channels)
    meter = LoudnessMeter(rate_hz, channels, hops)
    meter.add(x)
    expected = naive_loudness.energies(x, k_weighting(rate_hz), rate_hz, hops)
    np.testing.assert_allclose(meter.energies(), expected, rtol=0, atol=ALGEBRA)


def test_a_hop_that_ends_with_the_sound_is_counted() -> None:
    meter = LoudnessMeter(48_000, 2)
    meter.add(noise(480 * 3))
    assert meter.energies().size == 3


@modest
@given(cuts=CUTS, channels=st.integers(1, 2))
def test_levels_are_their_definitions(cuts: list[int], channels: int) -> None:
    x = noise(3000, channels)
    meter = LevelMeter(channels, GivenCuts(cuts))
    meter.add(x)
    np.testing.assert_allclose(meter.pieces(), naive_levels.pieces(x, cuts), rtol=0, atol=ALGEBRA * 3000)


@modest
@given(cuts=CUTS, channels=st.integers(1, 2), colour=st.sampled_from(["white", "dark", "sparse"]))
def test_true_peaks_are_those_of_the_whole_interpolation(cuts: list[int], channels: int, colour: str) -> None:
    x = noise(3000, channels, rms=0.25)
    if colour == "dark":
        x = np.cumsum(x, axis=1) / 40
    if colour == "sparse":
        x[:, np.arange(3000) % 301 > 3] = 0.0
    meter = TruePeakMeter(channels, GivenCuts(cuts))
    meter.add(x)
    np.testing.assert_allclose(meter.peaks(), naive_truepeak.peaks(x, cuts, BETAS), rtol=0, atol=SINGLE)


def hostile(kind: str) -> Block:
    """Signals that skipping could get wrong."""
    rng = np.random.default_rng(7)
    n = np.arange(6000)
    if kind == "alternating":
        return np.array([(-1.0) ** n * np.sign(np.sin(n / 37))])
    if kind == "steps":
        return np.repeat(rng.uniform(-1, 1, (2, 60)), 100, axis=1)
    if kind == "swell":
        return np.sin(n * 2.9) * np.linspace(0, 1, n.size)[np.newaxis] ** 4
    if kind == "tiny after loud":
        return np.where(n < 3000, np.sin(n * 0.01), 1e-6 * rng.standard_normal(n.size))[np.newaxis]
    return rng.standard_cauchy((2, 6000)) * 1e-2


def swell_then(event: np.ndarray, height: float) -> Block:
    """A slow swell up to `height`, then a pause, then an event that the swell could hide."""
    swell = height * np.sin(np.pi * np.arange(700) / 700) ** 2
    return np.concatenate([swell, np.zeros(200), event, np.zeros(200)])[np.newaxis]


def peaks_of(x: Block, cuts: GivenCuts | GridCuts) -> np.ndarray:
    meter = TruePeakMeter(x.shape[0], cuts)
    meter.add(x)
    return meter.peaks()


Thorough = Callable[[Block, GivenCuts | GridCuts], np.ndarray]


@pytest.fixture
def nothing_skipped(monkeypatch: pytest.MonkeyPatch) -> Thorough:
    """The same meter with limits so high that no stretch is ever left out."""
    everything = truepeak.interpolator().copy()
    everything[-4:] = 1e9

    def peaks(x: Block, cuts: GivenCuts | GridCuts) -> np.ndarray:
        with monkeypatch.context() as patch:
            patch.setattr(peaks_module, "interpolator", lambda: everything)
            return peaks_of(x, cuts)

    return peaks


@pytest.mark.parametrize("kind", ["alternating", "steps", "swell", "tiny after loud", "cauchy"])
def test_skipping_never_changes_a_true_peak(kind: str, nothing_skipped: Thorough) -> None:
    x = hostile(kind)
    cuts = GridCuts(44_100, 100)
    np.testing.assert_array_equal(peaks_of(x, cuts), nothing_skipped(x, GridCuts(44_100, 100)))


@pytest.mark.parametrize("point", range(1, 16))
def test_the_worst_signal_is_not_skipped(point: int, nothing_skipped: Thorough) -> None:
    # The signal of ±0.5 that drives one point furthest, after a swell almost as high as that point.
    taps = truepeak.design().points[point]
    x = swell_then(0.5 * np.sign(taps), 0.49 * np.abs(taps).sum())
    found = peaks_of(x, GivenCuts([]))
    assert found[0] >= 0.5 * np.abs(taps).sum() - SINGLE
    np.testing.assert_array_equal(found, nothing_skipped(x, GivenCuts([])))


@pytest.mark.parametrize("freq", [0.2, 0.3, 0.4, 0.45])
@pytest.mark.parametrize("place", [0.125, 0.25, 0.375, 0.625, 0.75])
def test_a_peak_between_half_way_points_is_not_skipped(
    freq: float, place: float, nothing_skipped: Thorough
) -> None:
    n = np.arange(-10, 11) + place
    event = np.cos(2 * np.pi * freq * n) * np.cos(np.pi * n / 23) ** 2
    alone = peaks_of(swell_then(event, 0.0), GivenCuts([]))[0]
    x = swell_then(event, 0.99 * alone)
    np.testing.assert_array_equal(peaks_of(x, GivenCuts([])), nothing_skipped(x, GivenCuts([])))
    assert peaks_of(x, GivenCuts([]))[0] == alone


@pytest.mark.parametrize("cut", range(900, 1030))
def test_a_rise_that_ends_behind_a_cut_is_not_skipped(cut: int, nothing_skipped: Thorough) -> None:
    # The points before the cut pass the swell only by leaning on the sample after it.
    ramp = 0.5 + 0.01 * (np.arange(2000) - (cut - 0.5))
    x = np.minimum(
        np.where(np.arange(2000) < cut - 40, 0.5 * np.sin(np.pi * np.arange(2000) / 860) ** 2, ramp), 0.9
    )
    x = x[np.newaxis]
    np.testing.assert_array_equal(peaks_of(x, GivenCuts([cut])), nothing_skipped(x, GivenCuts([cut])))


def test_the_limits_hold_for_the_worst_signal() -> None:
    # For each point, the signal of ±1 that drives it furthest: its second differences are known exactly.
    made = truepeak.design()
    for taps in made.points:
        x = np.sign(taps)
        before = truepeak.LONG_HALF + 4
        line = np.abs(x[before : before + 2]).max()
        bend = np.abs(np.diff(x, 2)).max()
        assert np.abs(taps).sum() <= made.both.line * line + made.both.bend * bend


@modest
@given(
    lengths=st.lists(st.integers(0, 400), min_size=1, max_size=12), rate_hz=st.sampled_from([8000, 44_100])
)
def test_grid_cuts_do_not_depend_on_blocks(lengths: list[int], rate_hz: int) -> None:
    cuts, at, found = GridCuts(rate_hz, 100), 0, []
    for length in lengths:
        found += (cuts.take(at, at + length) + at).tolist()
        at += length
    assert found == (GridCuts(rate_hz, 100).take(0, at)).tolist()


def test_grid_cuts_go_on_for_hours() -> None:
    cuts, step = GridCuts(44_100, 500), 44_100 * 37
    for start in range(0, 44_100 * 9000, step):
        assert cuts.take(start, start + step).size == 500 * 37
