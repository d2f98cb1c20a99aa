"""Levels, the relation of two channels, and peaks against levels, on signals whose figures are known."""

from __future__ import annotations

import math

import numpy as np
import pytest

from arsis.audio import Block
from arsis.measure.dynamics import crest_db, plr_db, psr_min_db
from arsis.measure.loudness import LoudnessMeter
from arsis.measure.stereo import LevelMeter, Levels
from arsis.measure.summary import Meters
from tests.signals import noise, sine
from tests.tolerances import ALGEBRA, CHECK_LU, LEVEL_DB, SPEC_3341_LU, TRUE_PEAK_HIGH_DB


def levels(x: Block) -> Levels:
    meter = LevelMeter(x.shape[0])
    meter.add(x)
    return meter.levels()


def test_a_sine() -> None:
    found = levels(sine(1000.0, 48_000, 1.0, peak=1.0))
    assert found.rms_dbfs == pytest.approx(10 * math.log10(0.5), abs=LEVEL_DB)
    assert found.sample_peak_dbfs == pytest.approx(0.0, abs=LEVEL_DB)
    assert found.dc_offset == pytest.approx((0.0, 0.0), abs=ALGEBRA)
    assert found.balance_db == 0.0


@pytest.mark.parametrize("degrees", [0, 30, 60, 90, 120, 180])
def test_correlation_of_two_sines_is_the_cosine_of_their_angle(degrees: float) -> None:
    x = sine(1000.0, 48_000, 1.0)
    x[1] = sine(1000.0, 48_000, 1.0, phase=math.radians(degrees))[0]
    assert levels(x).correlation == pytest.approx(math.cos(math.radians(degrees)), abs=ALGEBRA * 1000)


def test_correlation_is_that_of_numpy() -> None:
    x = noise(10_000)
    x[1] += 0.5 * x[0]
    x -= x.mean(axis=1, keepdims=True)
    assert levels(x).correlation == pytest.approx(np.corrcoef(x)[0, 1], abs=ALGEBRA * 1000)


@pytest.mark.parametrize("width_db", [-20.0, -6.0, 0.0, 6.0])
def test_width_is_side_over_mid(width_db: float) -> None:
    mid, side = noise(480_000, 2, seed=2)
    side *= 10 ** (width_db / 20) * np.sqrt(np.mean(mid**2) / np.mean(side**2))
    assert levels(np.stack([mid + side, mid - side])).width_db == pytest.approx(width_db, abs=LEVEL_DB)


def test_what_is_not_there() -> None:
    mono = noise(1000, 1)
    assert levels(mono).width_db == -math.inf
    assert levels(mono).correlation is None
    assert levels(np.concatenate([mono, mono])).width_db == -math.inf
    assert levels(np.concatenate([mono, -mono])).width_db == math.inf
    one_sided = levels(np.concatenate([mono, 0 * mono]))
    assert (one_sided.correlation, one_sided.balance_db, one_sided.width_db) == (None, None, 0.0)


def test_offset_and_balance() -> None:
    x = sine(100.0, 48_000, 1.0) * np.array([[1.0], [0.5]]) + np.array([[0.01], [-0.002]])
    found = levels(x)
    assert found.dc_offset == pytest.approx((0.01, -0.002), abs=ALGEBRA * 1000)
    assert levels(sine(100.0, 48_000, 1.0) * np.array([[1.0], [0.5]])).balance_db == pytest.approx(
        6.0206, abs=1e-4
    )


def test_crest_of_a_sine_and_of_silence() -> None:
    assert crest_db(-1.0, -4.0103) == pytest.approx(3.0103)
    assert crest_db(-math.inf, -math.inf) is None
    assert plr_db(-1.0, -math.inf) is None


def test_least_peak_to_short_term() -> None:
    """Ten seconds with clicks, then ten without: the steady half has the smaller ratio."""
    rate_hz = 48_000
    x = sine(1000.0, rate_hz, 26.0, peak=0.1)
    x[:, : 10 * rate_hz : rate_hz // 2] = 0.9
    x[:, 20 * rate_hz :] = 0.0  # silence does not count
    meter = Meters(rate_hz, 2)
    meter.add(x)
    facts = meter.facts()
    steady = 20 * math.log10(0.1) - (-0.691 + 0.6977 + 20 * math.log10(0.1))  # peak less loudness of the tone
    assert facts.psr_min_db == pytest.approx(steady, abs=TRUE_PEAK_HIGH_DB + CHECK_LU)
    assert facts.plr_db == facts.true_peak_dbtp - facts.integrated_lufs


def test_the_peak_of_a_ratio_is_that_of_the_whole_window() -> None:
    """A click every two seconds lies in every window of three."""
    rate_hz = 48_000
    x = sine(1000.0, rate_hz, 12.0, peak=0.1, channels=1)
    x[0, rate_hz // 2 :: 2 * rate_hz] = 0.9
    meter = Meters(rate_hz, 1)
    meter.add(x)
    facts = meter.facts()
    assert facts.psr_min_db == pytest.approx(facts.true_peak_dbtp - facts.max_short_term_lufs, abs=CHECK_LU)


def test_psr_of_a_fade_into_silence_stops_at_the_gate() -> None:
    rate_hz = 48_000
    meter = LoudnessMeter(rate_hz, 1)
    meter.add(sine(1000.0, rate_hz, 4.0, peak=1e-4, channels=1))
    assert psr_min_db(np.full(41, 1e-4), meter.energies()) is None


@pytest.mark.parametrize("quiet_db", [-math.inf, -65.0])
@pytest.mark.parametrize("early", [0, 40, 200])  # frames: on the grid of the windows, or before it
def test_what_rings_on_in_the_weighting_has_no_ratio(early: int, quiet_db: float) -> None:
    """A bass stops hard, then 6 s of silence or of next to nothing: its ring is no loudness of those."""
    rate_hz = 44_100
    x = sine(55.0, rate_hz, 11.0, peak=0.9)
    stop = 5 * rate_hz - early
    after = sine(1000.0, rate_hz, 11.0, peak=10 ** (quiet_db / 20))
    x[:, stop:] = after[:, stop:]
    meter = Meters(rate_hz, 2)
    meter.add(x)
    found = meter.facts().psr_min_db
    assert found is not None
    assert found > -1.0  # the quiet tone's own; the bass has more


def test_facts_of_a_whole_tone() -> None:
    meter = Meters(48_000, 2)
    for _ in range(20):
        meter.add(sine(1000.0, 48_000, 1.0, peak=10 ** (-23 / 20)))
    facts = meter.facts()
    for value in (facts.integrated_lufs, facts.max_momentary_lufs, facts.max_short_term_lufs):
        assert value == pytest.approx(-23.0, abs=SPEC_3341_LU)
    assert facts.range_lu == pytest.approx(0.0, abs=CHECK_LU)
    assert facts.true_peak_dbtp == pytest.approx(-23.0, abs=TRUE_PEAK_HIGH_DB)
    assert facts.true_peak_dbtp >= facts.sample_peak_dbfs
