"""The meters against every case of EBU Tech 3341 (2023), Table 1, and Tech 3342, Table 1, that can be made.

Left out: Tech 3341 case 6 (five channels; arsis takes mono and stereo), cases 7 and 8 and Tech 3342 cases 5
and 6 (recordings of the EBU).
"""

from __future__ import annotations

import numpy as np
import pytest

from arsis.audio import Block
from arsis.measure.loudness import (
    LoudnessMeter,
    Powers,
    highest,
    integrated_lufs,
    momentary_lufs,
    range_lu,
    short_term_lufs,
)
from arsis.measure.peaks import TruePeakMeter
from arsis.units import gain_to_db
from tests.meter_signals import burst, peak_within, tone
from tests.tolerances import SPEC_3341_LU, SPEC_3341_TP_HIGH_DB, SPEC_3341_TP_LOW_DB, SPEC_3342_LU

RATES = pytest.mark.parametrize("rate_hz", [44_100, 48_000, 96_000])


def heard(x: Block, rate_hz: int) -> Powers:
    meter = LoudnessMeter(rate_hz, x.shape[0])
    meter.add(x)
    return meter.energies()


def near(target: float) -> object:
    return pytest.approx(target, abs=SPEC_3341_LU)


@RATES
@pytest.mark.parametrize(("level", "target"), [(-23.0, -23.0), (-33.0, -33.0)])
def test_cases_1_and_2_a_steady_tone(rate_hz: int, level: float, target: float) -> None:
    energies = heard(tone(rate_hz, [(20, level)]), rate_hz)
    assert integrated_lufs(energies) == near(target)
    for values in (momentary_lufs(energies), short_term_lufs(energies)):
        assert values.min() == near(target)
        assert values.max() == near(target)


@RATES
@pytest.mark.parametrize(
    "segments",
    [
        [(10, -36), (60, -23), (10, -36)],
        [(10, -72), (10, -36), (60, -23), (10, -36), (10, -72)],
        [(20, -26), (20.1, -20), (20, -26)],
    ],
    ids=["case 3", "case 4", "case 5"],
)
def test_cases_3_to_5_gating(rate_hz: int, segments: list[tuple[float, float]]) -> None:
    assert integrated_lufs(heard(tone(rate_hz, segments), rate_hz)) == near(-23.0)


@RATES
def test_case_9_short_term_is_constant(rate_hz: int) -> None:
    values = short_term_lufs(heard(tone(rate_hz, [(1.34, -20), (1.66, -30)] * 5), rate_hz))
    assert values.min() == near(-23.0)
    assert values.max() == near(-23.0)


@RATES
def test_case_10_largest_short_term_of_files(rate_hz: int) -> None:
    for i in range(20):
        x = tone(rate_hz, [(i * 0.15, None), (3, -23), (1, None)])
        assert highest(short_term_lufs(heard(x, rate_hz))) == near(-23.0), i


@RATES
def test_case_11_largest_short_term_so_far(rate_hz: int) -> None:
    segments = [s for i in range(20) for s in [(i * 0.15, None), (3, -38 + i), (3 - i * 0.15, None)]]
    values = short_term_lufs(heard(tone(rate_hz, segments), rate_hz))
    for i in range(20):
        assert values[: 60 * (i + 1) - 29].max() == near(-38.0 + i), i  # windows that end by 6 (i + 1) s


@RATES
def test_case_12_momentary_is_constant(rate_hz: int) -> None:
    values = momentary_lufs(heard(tone(rate_hz, [(0.18, -20), (0.22, -30)] * 25), rate_hz))
    assert values.min() == near(-23.0)
    assert values.max() == near(-23.0)


@RATES
def test_case_13_largest_momentary_of_files(rate_hz: int) -> None:
    for i in range(20):
        x = tone(rate_hz, [(i * 0.02, None), (0.4, -23), (1, None)])
        assert highest(momentary_lufs(heard(x, rate_hz))) == near(-23.0), i


@RATES
def test_case_14_largest_momentary_so_far(rate_hz: int) -> None:
    segments = [s for i in range(20) for s in [(i * 0.02, None), (0.4, -38 + i), (0.4 - i * 0.02, None)]]
    values = momentary_lufs(heard(tone(rate_hz, segments), rate_hz))
    for i in range(20):
        assert values[: 80 * (i + 1) - 39].max() == near(-38.0 + i), i


@RATES
@pytest.mark.parametrize(
    ("part", "amplitude", "degrees", "target"),
    [(4, 0.5, 0, -6), (4, 0.5, 45, -6), (6, 0.5, 60, -6), (8, 0.5, 67.5, -6), (4, 1.41, 45, 3)],
    ids=["case 15", "case 16", "case 17", "case 18", "case 19"],
)
def test_cases_15_to_19_true_peak_of_a_tone(
    rate_hz: int, part: int, amplitude: float, degrees: float, target: float
) -> None:
    assert_true_peak(burst(rate_hz, part, amplitude, degrees), target)


@RATES
@pytest.mark.parametrize("offset", range(4))
def test_cases_20_to_23_true_peak_between_samples(rate_hz: int, offset: int) -> None:
    assert_true_peak(peak_within(rate_hz, offset), 0.0)


def assert_true_peak(x: Block, target: float) -> None:
    meter = TruePeakMeter(x.shape[0])
    meter.add(x)
    reading = gain_to_db(meter.peak())
    assert target - SPEC_3341_TP_LOW_DB <= reading <= target + SPEC_3341_TP_HIGH_DB


@RATES
@pytest.mark.parametrize(
    ("levels", "target"),
    [((-20, -30), 10), ((-20, -15), 5), ((-40, -20), 20), ((-50, -35, -20, -35, -50), 15)],
    ids=["case 1", "case 2", "case 3", "case 4"],
)
def test_loudness_range(rate_hz: int, levels: tuple[float, ...], target: float) -> None:
    energies = heard(tone(rate_hz, [(20, level) for level in levels]), rate_hz)
    assert range_lu(energies) == pytest.approx(target, abs=SPEC_3342_LU)


def test_loudness_range_stays_when_the_programme_is_repeated() -> None:
    # Tech 3342 (2023), 3: "repeated in its entirety" the programme has the same range.
    once = tone(48_000, [(20, -20), (20, -30), (20, -24)])
    repeated = np.concatenate([once, once], axis=1)
    assert range_lu(heard(repeated, 48_000)) == pytest.approx(range_lu(heard(once, 48_000)), abs=SPEC_3341_LU)
