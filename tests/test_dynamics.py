"""Compressor and dynamic bell.

Static curve and ballistics: D. Giannoulis, M. Massberg, J. D. Reiss, JAES 60(6) (2012), values derived
from its formulas in rational arithmetic; bell: closed form of the analogue curve.
"""

from __future__ import annotations

from copy import deepcopy
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from arsis.audio import Block
from arsis.dsp.kernels import compressor
from arsis.dsp.kernels.compressor import Curve
from arsis.process import apply, is_neutral
from arsis.process.detector import kept_each_frame
from arsis.process.dynamics import CompressorRunner, DynamicBellRunner
from arsis.settings import Bell, Compressor, DynamicBell

from . import naive_dynamics
from .signals import RATES, noise, sine
from .tolerances import ALGEBRA, ANALOGUE_DB, DESIGN_DB, EXACT, NULL_DB, TWIN_DB

pytestmark = pytest.mark.kernels

RATE = 48_000
LEVELS_DB = (-30.0, -25.0, -22.5, -20.0, -17.5, -15.0, -10.0, 0.0)
OUT_DB = {  # threshold −20 dB, knee 10 dB
    0.25: (-30.0, -25.0, -22.734375, -20.9375, -19.609375, -18.75, -17.5, -15.0),
    0.0: (-30.0, -25.0, -22.8125, -21.25, -20.3125, -20.0, -20.0, -20.0),
}
BUSY = Compressor(
    threshold_dbfs=-30.0, ratio=4.0, knee_db=8.0, attack_ms=2.0, release_ms=40.0, sidechain_high_pass_hz=120.0
)
ESSES = DynamicBell(freq_hz=6_500.0, q=1.5, range_db=-6.0, threshold_dbfs=-40.0, ratio=4.0)


def bursts(frames: int, seed: int = 1, channels: int = 2) -> Block:
    """Noise that comes and goes."""
    return noise(frames, channels, seed) * (0.02 + (np.arange(frames) // 1_500 % 2))


def last_gain_db(level_db: float, **asked: float) -> float:
    held = np.full((1, 4_800), 10 ** (level_db / 20))
    runner = CompressorRunner(Compressor(attack_ms=0.05, **asked), RATE, 1)
    return float(20 * np.log10(runner.process_with_gain(held)[1][-1]))


@pytest.mark.parametrize(("level_db", "out_db"), list(zip(LEVELS_DB, OUT_DB[0.25], strict=True)))
def test_static_curve(level_db: float, out_db: float) -> None:
    gain_db = last_gain_db(level_db, threshold_dbfs=-20.0, ratio=4.0, knee_db=10.0)
    assert level_db + gain_db == pytest.approx(out_db, abs=DESIGN_DB)


@pytest.mark.parametrize(("level_db", "out_db"), list(zip(LEVELS_DB, OUT_DB[0.0], strict=True)))
def test_static_curve_of_a_wall(level_db: float, out_db: float) -> None:
    wall = Curve(-20.0, 5.0, 0.05, 1.0, np.inf, 0.5, 0.5, -1.0, 0.0)
    gains = compressor.gains(np.full((1, 100), 10 ** (level_db / 20)), wall, compressor.rest_state())
    assert level_db + 20 * np.log10(gains[-1]) == pytest.approx(out_db, abs=DESIGN_DB)


def test_hard_knee_and_makeup() -> None:
    assert last_gain_db(-20.0, threshold_dbfs=-20.0, ratio=2.0, knee_db=0.0) == EXACT
    assert last_gain_db(-10.0, threshold_dbfs=-20.0, ratio=2.0, knee_db=0.0) == pytest.approx(
        -5.0, abs=DESIGN_DB
    )
    assert last_gain_db(-50.0, threshold_dbfs=-20.0, makeup_db=3.0) == pytest.approx(3.0, abs=DESIGN_DB)


def test_time_constant_in_frames() -> None:
    assert kept_each_frame(10.0, RATE) == pytest.approx(0.997918835299, abs=5e-13)


@pytest.mark.parametrize(("attack_ms", "release_ms"), [(10.0, 100.0), (50.0, 5.0)])
def test_attack_and_release_last_as_long_as_set(attack_ms: float, release_ms: float) -> None:
    asked = Compressor(
        threshold_dbfs=-20.0, ratio=2.0, knee_db=0.0, attack_ms=attack_ms, release_ms=release_ms
    )
    loud = round(RATE * 30 * attack_ms / 1000)
    held = np.concatenate([np.ones((1, loud)), np.zeros((1, RATE))], axis=1)
    taken_db = -20 * np.log10(CompressorRunner(asked, RATE, 1).process_with_gain(held)[1])
    attack, release = round(RATE * attack_ms / 1000), round(RATE * release_ms / 1000)
    assert taken_db[attack - 1] == pytest.approx(10.0 * (1 - np.exp(-1)), abs=DESIGN_DB)
    assert taken_db[loud + release - 1] == pytest.approx(10.0 * np.exp(-1), abs=DESIGN_DB)


@settings(derandomize=True, deadline=None, max_examples=25)
@given(
    threshold=st.floats(-60, 0),
    ratio=st.floats(1.1, 100),
    knee=st.floats(0, 24),
    attack=st.floats(0.05, 500),
    release=st.floats(1, 5_000),
    rate=st.sampled_from(RATES),
    channels=st.integers(1, 2),
)
def test_compressor_is_its_formula(
    threshold: float, ratio: float, knee: float, attack: float, release: float, rate: int, channels: int
) -> None:
    asked = Compressor(
        threshold_dbfs=threshold,
        ratio=ratio,
        knee_db=knee,
        attack_ms=attack,
        release_ms=release,
        makeup_db=2.0,
    )
    block = bursts(4_000, channels=channels)
    out, gain = CompressorRunner(asked, rate, channels).process_with_gain(block)
    expected = naive_dynamics.compressor_gain(block, asked, rate)
    assert np.max(np.abs(20 * np.log10(gain / expected))) < TWIN_DB
    assert np.array_equal(out, block * gain)


@settings(derandomize=True, deadline=None, max_examples=20)
@given(
    freq=st.floats(40, 16_000),
    q=st.floats(0.3, 8),
    move=st.floats(-18, 18).filter(lambda v: abs(v) > 0.1),
    threshold=st.floats(-60, -10),
    rate=st.sampled_from(RATES),
)
def test_dynamic_bell_is_its_formula(freq: float, q: float, move: float, threshold: float, rate: int) -> None:
    asked = DynamicBell(freq_hz=freq, q=q, range_db=move, threshold_dbfs=threshold, ratio=3.0)
    block = bursts(4_000)
    expected = naive_dynamics.dynamic_bell(block, asked, rate)
    assert np.max(np.abs(apply(asked, block, rate) - expected)) < 10 ** (NULL_DB / 20)


@pytest.mark.parametrize("asked", [BUSY, replace(BUSY, attack_ms=60.0, release_ms=3.0), ESSES], ids=repr)
@settings(derandomize=True, deadline=None, max_examples=20)
@given(cuts=st.lists(st.integers(0, 4_000), max_size=8))
def test_blocks_do_not_matter(asked: Compressor | DynamicBell, cuts: list[int]) -> None:
    block = bursts(4_000)
    make = CompressorRunner if isinstance(asked, Compressor) else DynamicBellRunner
    runner = make(asked, RATE, 2)  # type: ignore[arg-type]
    edges = [0, *sorted(cuts), 4_000]
    parts = [deepcopy(runner).process(block[:, :0])] + [
        runner.process(block[:, a:b]) for a, b in pairwise(edges)
    ]
    assert np.array_equal(np.concatenate(parts, axis=1), apply(asked, block, RATE))


def test_quiet_passes_bit_for_bit_before_and_after() -> None:
    loud, quiet = noise(RATE // 4), 1e-3 * noise(20 * RATE // 4, seed=2)
    block = np.concatenate([quiet, loud, quiet], axis=1)
    for asked in (replace(BUSY, threshold_dbfs=-40.0), replace(ESSES, threshold_dbfs=-50.0)):
        out = apply(asked, block, RATE)
        changed = np.flatnonzero(np.any(out != block, axis=0))
        assert changed[0] >= quiet.shape[1]
        assert changed[-1] < block.shape[1] - RATE
        assert np.max(np.abs(out - block)) > 1e-3


def test_channels_share_one_gain() -> None:
    block = np.stack([bursts(4_000)[0], 0.01 * noise(4_000, seed=5)[1]])
    out = apply(replace(BUSY, sidechain_high_pass_hz=0.0), block, RATE)
    assert np.allclose(out[0] / block[0], out[1] / block[1], rtol=ALGEBRA)
    swapped = apply(replace(BUSY, sidechain_high_pass_hz=0.0), np.ascontiguousarray(block[::-1]), RATE)
    assert np.array_equal(swapped[::-1], out)


def test_side_chain_does_not_hear_below_its_corner() -> None:
    asked = replace(BUSY, threshold_dbfs=-20.0, knee_db=0.0, sidechain_high_pass_hz=400.0)
    low, high = sine(40.0, RATE, 1.0), sine(4_000.0, RATE, 1.0)
    assert np.array_equal(
        apply(asked, low, RATE)[:, 4_800:], low[:, 4_800:]
    )  # 40 dB down: under the threshold
    assert np.max(np.abs(apply(asked, high, RATE)[:, 4_800:])) < 0.3


def test_side_chain_corner_is_where_it_is_set() -> None:
    """Butterworth: −3.0103 dB at the corner, so the change is half that of the full level at ratio 2."""
    plain = Compressor(threshold_dbfs=-60.0, ratio=2.0, knee_db=0.0, attack_ms=50.0, release_ms=50.0)
    tone = sine(211.7, RATE, 2.0)
    gain = CompressorRunner(plain, RATE, 2).process_with_gain(tone)[1]
    cornered = replace(plain, sidechain_high_pass_hz=211.7)
    heard = CompressorRunner(cornered, RATE, 2).process_with_gain(tone)[1]
    step_db = 20 * np.log10(np.mean(heard[RATE:]) / np.mean(gain[RATE:]))
    assert step_db == pytest.approx(3.0103 / 2, abs=0.005)  # near the zeros both fall under the threshold


def shape_db(asked: DynamicBell, gain: float, rate_hz: int, freq_hz: np.ndarray) -> np.ndarray:
    """Measured response of a bell whose gain stands still."""
    impulse = np.zeros((1, 1 << 16))
    impulse[0, 0] = 1.0
    out = DynamicBellRunner(asked, rate_hz, 1).apply_gain(impulse, np.full(1 << 16, gain))[0]
    phase = np.exp(-2j * np.pi * np.outer(freq_hz / rate_hz, np.arange(1 << 13)))
    return 20 * np.log10(np.abs(phase @ out[: 1 << 13]))


@pytest.mark.parametrize("rate_hz", [44_100, 96_000])
@pytest.mark.parametrize("range_db", [-6.0, 6.0, -3.0])
@pytest.mark.parametrize(
    ("freq_hz", "q"), [(500.0, 0.7), (3_000.0, 1.0), (6_500.0, 2.0), (10_000.0, 0.7), (14_000.0, 2.0)]
)
def test_bell_standing_still_is_the_analogue_bell(
    freq_hz: float, q: float, range_db: float, rate_hz: int
) -> None:
    asked = DynamicBell(freq_hz=freq_hz, q=q, range_db=range_db)
    f = np.geomspace(20.0, 16_000.0, 60)
    pole_q = q * 10 ** (range_db / 40)
    for part in (0.25, 0.5, 1.0):
        gain = 10 ** (part * range_db / 20)
        band = 1 / (1 + 1j * pole_q * (f / freq_hz - freq_hz / f))
        analogue_db = 20 * np.log10(np.abs(1 + (gain - 1) * band))
        assert np.max(np.abs(shape_db(asked, gain, rate_hz, f) - analogue_db)) < ANALOGUE_DB


@pytest.mark.parametrize("range_db", [-6.0, 4.0])
def test_bell_moved_all_the_way_is_the_bell(range_db: float) -> None:
    asked = replace(
        ESSES, range_db=range_db, threshold_dbfs=-60.0, ratio=100.0, attack_ms=0.05, release_ms=5_000.0
    )
    block = np.concatenate([noise(RATE), noise(RATE // 10, seed=3)], axis=1)
    moved = apply(asked, block, RATE)
    still = apply(Bell(freq_hz=asked.freq_hz, gain_db=range_db, q=asked.q), block, RATE)
    difference = (moved - still)[:, RATE:]
    assert np.max(np.abs(difference)) < 0.02 * np.max(np.abs((block - still)[:, RATE:]))


@pytest.mark.parametrize("range_db", [-6.0, 6.0])
def test_bell_goes_no_further_than_its_range(range_db: float) -> None:
    asked = replace(ESSES, range_db=range_db, attack_ms=0.05, release_ms=5_000.0)
    gain = DynamicBellRunner(asked, RATE, 2).process_with_gain(sine(6_500.0, RATE, 1.0))[1]
    gain_db = 20 * np.log10(gain)
    assert np.max(np.abs(gain_db)) <= 6.0 + DESIGN_DB
    assert gain_db[-1] == pytest.approx(range_db, abs=0.01)  # release of 5 s between the peaks


def test_bell_hears_its_own_band_only() -> None:
    asked = replace(ESSES, threshold_dbfs=-20.0)
    low = sine(200.0, RATE, 1.0)
    assert np.array_equal(apply(asked, low, RATE)[:, 2_400:], low[:, 2_400:])


def test_bell_threshold_is_the_level_in_the_band() -> None:
    """A tone at the centre, 8 dB over, ratio 2: 4 dB down at its peaks, whatever the range."""
    for range_db in (-5.0, -12.0):
        asked = replace(
            ESSES, range_db=range_db, threshold_dbfs=-20.0, ratio=2.0, attack_ms=0.05, release_ms=5_000.0
        )
        tone = sine(6_500.0, RATE, 1.0, peak=10 ** (-12 / 20))
        gain = DynamicBellRunner(asked, RATE, 2).process_with_gain(tone)[1]
        assert 20 * np.log10(gain[-1]) == pytest.approx(-4.0, abs=0.05)  # peaks fall between samples


@pytest.mark.parametrize(
    "asked", [replace(BUSY, makeup_db=1.0), ESSES, replace(ESSES, range_db=5.0)], ids=repr
)
def test_a_version_takes_the_gain_of_the_main_mix(asked: Compressor | DynamicBell) -> None:
    """Law 10: where two mixes sum to the main mix, the two results sum to its result."""
    voice, band = bursts(8_000), noise(8_000, seed=7)
    make = CompressorRunner if isinstance(asked, Compressor) else DynamicBellRunner
    lead, first, second = (make(asked, RATE, 2) for _ in range(3))  # type: ignore[arg-type]
    out, gain = lead.process_with_gain(voice + band)
    parts = first.apply_gain(voice, gain) + second.apply_gain(band, gain)
    assert np.max(np.abs(parts - out)) < ALGEBRA
    assert np.array_equal(make(asked, RATE, 2).apply_gain(voice + band, gain), out)  # type: ignore[arg-type]


@pytest.mark.parametrize("asked", [BUSY, ESSES], ids=repr)
def test_mid_only_leaves_the_side(asked: Compressor | DynamicBell) -> None:
    block = bursts(4_000)
    out = apply(replace(asked, channel="mid"), block, RATE)
    assert np.max(np.abs((out[0] - out[1]) - (block[0] - block[1]))) < ALGEBRA
    mid = apply(asked, 0.5 * block.sum(axis=0, keepdims=True), RATE)[0]
    assert np.max(np.abs(0.5 * (out[0] + out[1]) - mid)) < ALGEBRA


@pytest.mark.parametrize(
    "asked",
    [
        Compressor(ratio=1.0),
        DynamicBell(freq_hz=1_000.0, range_db=0.0),
        DynamicBell(freq_hz=1_000.0, range_db=1e-300),
        DynamicBell(freq_hz=1_000.0, ratio=1.0),
    ],
    ids=repr,
)
def test_nothing_asked_is_nothing_done(asked: Compressor | DynamicBell) -> None:
    assert is_neutral(asked)
    block = noise(500)
    assert np.array_equal(apply(asked, block, RATE), block)


def test_makeup_alone_is_not_neutral() -> None:
    assert not is_neutral(Compressor(ratio=1.0, makeup_db=1.0))
