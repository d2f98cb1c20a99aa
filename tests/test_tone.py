"""Tone against its analogue prototypes: closed forms, scipy.signal.freqs and freqz, and the sound itself."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
import scipy.signal as ss
from hypothesis import given, settings
from hypothesis import strategies as st

from arsis.dsp import filters, prototypes
from arsis.dsp.filters import follow, response
from arsis.dsp.prototypes import Prototype
from arsis.errors import PlanError
from arsis.process import apply
from arsis.process.linear_phase import linear_phase_taps
from arsis.process.tone import prototype, response_db
from arsis.settings import Bell, HighPass, HighShelf, LowPass, LowShelf, Tilt
from tests.signals import RATES, noise
from tests.tolerances import ALGEBRA, ANALOGUE_DB, BIG_FIT_DB, DESIGN_DB, FIT_DB, PASS_DB, PRINTED, TABLE_DB

TO_HZ = 16_000.0  # law 7

freqs_hz = st.floats(np.log(5.0), np.log(40_000.0)).map(lambda x: float(np.exp(x)))
all_qs = st.floats(np.log(0.1), np.log(20.0)).map(lambda x: float(np.exp(x)))
shelf_qs = st.floats(0.3, 1.5)
rates_hz = st.sampled_from([*RATES, 176_400])


def moves_of(gain_db: st.SearchStrategy[float], tilt_db: st.SearchStrategy[float]) -> st.SearchStrategy[Any]:
    return st.one_of(
        st.builds(Bell, freq_hz=freqs_hz, gain_db=gain_db, q=all_qs),
        st.builds(LowShelf, freq_hz=freqs_hz, gain_db=gain_db, q=shelf_qs),
        st.builds(HighShelf, freq_hz=freqs_hz, gain_db=gain_db, q=shelf_qs),
        st.builds(Tilt, freq_hz=freqs_hz, gain_db=tilt_db),
    )


moves = moves_of(st.floats(-6.0, 6.0), st.floats(-6.0, 6.0))
big_moves = moves_of(st.floats(-24.0, 24.0), st.floats(-12.0, 12.0))
passes = st.one_of(
    st.builds(kind, freq_hz=freqs_hz, order=st.integers(1, 8), q=st.floats(0.3, 4.0))
    for kind in (HighPass, LowPass)
)


def grid_hz(around_hz: float, top_hz: float = TO_HZ) -> np.ndarray:
    wide = np.concatenate([np.geomspace(5.0, top_hz, 400), np.linspace(500.0, top_hz, 400)])
    grid = np.concatenate([wide, around_hz * np.geomspace(0.7, 1.4, 200)])
    return grid[grid <= top_hz]


def by_scipy_db(curve: Prototype, freq_hz: np.ndarray) -> np.ndarray:
    """The prototype's level by scipy.signal.freqs, section by section."""
    whole = sum(
        20.0 * np.log10(np.abs(ss.freqs(c[:3], c[3:], freq_hz / curve.freq_hz)[1])) for c in curve.sections
    )
    return np.asarray(whole)


def measured_db(sections: np.ndarray, freq_hz: np.ndarray, rate_hz: int) -> np.ndarray:
    """The filter's level by scipy.signal.freqz_sos."""
    sos = np.insert(sections, 3, 1.0, axis=1)
    return np.asarray(20.0 * np.log10(np.abs(ss.freqz_sos(sos, freq_hz, fs=rate_hz)[1])))


@given(move=moves, rate_hz=rates_hz)
@settings(max_examples=300)
def test_law_7_every_move_is_true_to_its_analogue_curve(move: Any, rate_hz: int) -> None:
    curve = prototype(move)
    freq_hz = grid_hz(move.freq_hz)
    error_db = measured_db(follow(curve, rate_hz), freq_hz, rate_hz) - by_scipy_db(curve, freq_hz)
    assert np.abs(error_db).max() < FIT_DB < ANALOGUE_DB


@given(move=big_moves, rate_hz=rates_hz)
@settings(max_examples=200)
def test_big_moves_are_true_too(move: Any, rate_hz: int) -> None:
    curve = prototype(move)
    freq_hz = grid_hz(move.freq_hz)
    error_db = measured_db(follow(curve, rate_hz), freq_hz, rate_hz) - by_scipy_db(curve, freq_hz)
    assert np.abs(error_db).max() < BIG_FIT_DB < ANALOGUE_DB


@given(move=passes, rate_hz=rates_hz)
@settings(max_examples=200)
def test_a_pass_is_true_to_its_analogue_curve_20_db_down(move: Any, rate_hz: int) -> None:
    curve = prototype(move)
    freq_hz = grid_hz(move.freq_hz)
    want_db = by_scipy_db(curve, freq_hz)
    error_db = (measured_db(follow(curve, rate_hz), freq_hz, rate_hz) - want_db)[want_db > -20.0]
    assert np.abs(error_db).max(initial=0.0) < PASS_DB < ANALOGUE_DB


@given(move=st.one_of(big_moves, passes), rate_hz=rates_hz)
@settings(max_examples=150)
def test_every_filter_is_stable_and_of_minimum_phase(move: Any, rate_hz: int) -> None:
    for b0, b1, b2, a1, a2 in follow(prototype(move), rate_hz):
        assert np.abs(np.roots([1.0, a1, a2])).max() < 1.0
        assert np.abs(np.roots([b0, b1, b2])).max(initial=0.0) <= 1.0 + ALGEBRA


@given(freq_hz=freqs_hz, gain_db=st.floats(0.1, 24.0), q=all_qs, shelf_q=shelf_qs, rate_hz=rates_hz)
@settings(max_examples=60)
def test_a_cut_undoes_the_boost(
    freq_hz: float, gain_db: float, q: float, shelf_q: float, rate_hz: int
) -> None:
    grid = grid_hz(freq_hz, 20_000.0)
    for make, steep in (
        (prototypes.bell, q),
        (prototypes.low_shelf, shelf_q),
        (prototypes.high_shelf, shelf_q),
    ):
        boost, cut = (
            response(follow(make(freq_hz, sign * gain_db, steep), rate_hz), grid, rate_hz) for sign in (1, -1)
        )
        assert np.abs(20.0 * np.log10(np.abs(boost * cut))).max() < TABLE_DB


@pytest.mark.parametrize("rate_hz", RATES)
@pytest.mark.parametrize("gain_db", [-24.0, -6.0, -0.5, 0.0, 1.5, 12.0])
def test_the_gain_at_the_frequency_is_exact(rate_hz: int, gain_db: float) -> None:
    """A bell has all of its gain there, a shelf half of it (RBJ), a tilt none."""
    for freq_hz in (300.0, 3_000.0, 12_000.0, 18_000.0):
        at = np.array([freq_hz])
        for settings_, want_db in (
            (Bell(freq_hz=freq_hz, gain_db=gain_db, q=1.3), gain_db),
            (LowShelf(freq_hz=freq_hz, gain_db=gain_db), gain_db / 2),
            (HighShelf(freq_hz=freq_hz, gain_db=gain_db), gain_db / 2),
            (Tilt(freq_hz=freq_hz, gain_db=gain_db / 2), 0.0),
            (LowPass(freq_hz=freq_hz), 10.0 * np.log10(0.5)),
            (HighPass(freq_hz=freq_hz, order=5), 10.0 * np.log10(0.5)),
            (HighPass(freq_hz=freq_hz, q=2.0), 20.0 * np.log10(2.0)),
        ):
            assert response_db(settings_, at, rate_hz)[0] == pytest.approx(want_db, abs=DESIGN_DB)


@pytest.mark.parametrize(
    ("curve", "rate_hz", "b", "a"),
    [
        (
            prototypes.bell(1_000.0, 6.0, 1.0),
            48_000,
            [1.043953086990, -1.895320723937, 0.867722284760],
            [-1.895320723937, 0.911675371750],
        ),
        (
            prototypes.bell(100.0, 3.0, 2**0.5),
            44_100,
            [1.001741038334, -1.991357236677, 0.989818331925],
            [-1.991357236677, 0.991559370259],
        ),
        (
            prototypes.low_shelf(100.0, 6.0, 0.5**0.5),
            48_000,
            [1.003217895737, -1.984364430777, 0.981386698749],
            [-1.984424329139, 0.984544696124],
        ),
        (
            prototypes.high_shelf(8_000.0, 6.0, 0.5**0.5),
            48_000,
            [1.571670188571, -1.248879926747, 0.448691733076],
            [-0.433510141577, 0.204992136478],
        ),
        (
            prototypes.low_pass(1_000.0, 2, 0.5**0.5),
            48_000,
            [0.003916126661, 0.007832253321, 0.003916126661],
            [-1.815341082705, 0.831005589347],
        ),
        (
            prototypes.high_pass(20.0, 2, 0.5**0.5),
            48_000,
            [0.998150511190, -1.996301022381, 0.998150511190],
            [-1.996297601769, 0.996304442993],
        ),
    ],
)
def test_the_prototypes_are_those_of_the_handbook(
    curve: Prototype, rate_hz: int, b: list[float], a: list[float]
) -> None:
    """R. Bristow-Johnson's sections (W3C Note, 2021) come out of ours by his bilinear transform."""
    (section,) = curve.sections
    half_rate = 0.5 / np.tan(np.pi * curve.freq_hz / rate_hz)
    found_b, found_a = ss.bilinear(section[:3], section[3:], fs=half_rate)
    np.testing.assert_allclose(found_b, b, rtol=0, atol=PRINTED)
    np.testing.assert_allclose(found_a[1:], a, rtol=0, atol=PRINTED)


def test_closed_forms_of_bell_and_shelf() -> None:
    """Levels of the analogue curves at f / f0 = 0.125 … 8, from their closed forms."""
    ratios = np.array([0.125, 0.25, 0.5, 0.5**0.5, 1.0, 2**0.5, 2.0, 4.0, 8.0])
    bell = prototypes.bell(1.0, 6.0, 1.0).magnitude_db(ratios)
    shelf = prototypes.low_shelf(1.0, 6.0, 0.5**0.5).magnitude_db(ratios)
    table = [0.102570, 0.424137, 1.883844, 3.966009, 6.0, 3.966009, 1.883844, 0.424137, 0.102570]
    np.testing.assert_allclose(bell, table, rtol=0, atol=TABLE_DB)
    table = [5.998416, 5.974776, 5.623570, 4.755189, 3.0, 1.244811, 0.376430, 0.025224, 0.001584]
    np.testing.assert_allclose(shelf, table, rtol=0, atol=TABLE_DB)


def test_a_tilt_is_odd_about_its_pivot() -> None:
    ratios = np.geomspace(1e-4, 1e4, 81)
    level = prototypes.tilt(1.0, 3.0).magnitude_db(ratios)
    np.testing.assert_allclose(level, -level[::-1], rtol=0, atol=DESIGN_DB)
    assert level[-1] == pytest.approx(3.0, abs=TABLE_DB)


@pytest.mark.parametrize("order", range(1, 9))
def test_passes_are_butterworth(order: int) -> None:
    """|H|² = 1 / (1 + Ω^2n), and scipy.signal.butter has the same poles."""
    ratios = np.geomspace(0.1, 10.0, 61)
    level = prototypes.low_pass(1.0, order, 0.5**0.5).magnitude_db(ratios)
    np.testing.assert_allclose(level, -10.0 * np.log10(1.0 + ratios ** (2 * order)), rtol=0, atol=DESIGN_DB)
    upper = prototypes.high_pass(1.0, order, 0.5**0.5).magnitude_db(ratios)
    np.testing.assert_allclose(upper, level[::-1], rtol=0, atol=DESIGN_DB)
    poles = np.concatenate(
        [np.roots(np.trim_zeros(c[3:], "f")) for c in prototypes.low_pass(1.0, order, 0.5**0.5).sections]
    )
    np.testing.assert_allclose(
        np.sort_complex(np.round(poles, 9)),
        np.sort_complex(np.round(ss.butter(order, 1.0, analog=True, output="zpk")[1], 9)),
    )


def test_the_sound_has_the_response_that_is_drawn() -> None:
    x = np.zeros((2, 16_384))
    x[:, 0] = 1.0
    for move in (Bell(freq_hz=9_000.0, gain_db=5.0), Bell(freq_hz=700.0, gain_db=-3.0, phase="linear")):
        level_db = 20.0 * np.log10(np.abs(np.fft.rfft(apply(move, x, 44_100)[0])))
        grid = np.fft.rfftfreq(x.shape[1], 1 / 44_100)
        heard = (grid > 20.0) & (grid < TO_HZ)
        if move.phase == "linear":  # its own ringing ahead of the first frame is cut off
            x[:, 0], x[:, 8_192] = 0.0, 1.0
            level_db = 20.0 * np.log10(np.abs(np.fft.rfft(apply(move, x, 44_100)[0])))
        np.testing.assert_allclose(
            level_db[heard], response_db(move, grid[heard], 44_100), rtol=0, atol=FIT_DB
        )


@pytest.mark.parametrize(
    "move",
    [
        Bell(freq_hz=40.0, gain_db=6.0, q=2.0),
        Bell(freq_hz=15_000.0, gain_db=-6.0, q=8.0),
        LowShelf(freq_hz=60.0, gain_db=3.0, q=0.5),
        HighShelf(freq_hz=12_000.0, gain_db=-6.0, q=1.5),
        HighPass(freq_hz=20.0, order=1),
        HighPass(freq_hz=30.0, order=4),
        LowPass(freq_hz=15_000.0, order=8),
        Tilt(freq_hz=700.0, gain_db=3.0),
    ],
    ids=repr,
)
@pytest.mark.parametrize("rate_hz", [44_100, 96_000])
def test_linear_phase_has_the_same_curve_and_no_phase(move: Any, rate_hz: int) -> None:
    taps = linear_phase_taps(prototype(move), rate_hz)
    assert len(taps) % 2 == 1
    assert np.array_equal(taps, taps[::-1])
    freq_hz = grid_hz(move.freq_hz)[::4]
    want_db = by_scipy_db(prototype(move), freq_hz)
    level_db = 20.0 * np.log10(np.abs(ss.freqz(taps, worN=freq_hz, fs=rate_hz)[1]))
    assert np.abs(level_db - want_db)[want_db > -20.0].max() < FIT_DB


def test_linear_phase_that_would_ring_for_seconds_is_refused() -> None:
    with pytest.raises(PlanError, match="ring ahead of the sound"):
        apply(Bell(freq_hz=5.0, gain_db=6.0, q=20.0, phase="linear"), noise(10), 44_100)


@pytest.mark.parametrize("freq_hz", [90.0, 4_000.0, 17_000.0, 30_000.0])
def test_coefficients_do_not_depend_on_a_machine(freq_hz: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """Another machine's linear algebra and sine differ in their last bits; the sections do not."""
    settle, sine = np.linalg.lstsq, math.sin
    curves = [prototypes.bell(freq_hz, 4.0, 0.9), prototypes.high_pass(freq_hz, 3, 1.0)]
    want = [follow(curve, 44_100) for curve in curves]
    filters._follow.cache_clear()
    monkeypatch.setattr(np.linalg, "lstsq", lambda *a, **k: (settle(*a, **k)[0] * (1.0 + 2.0**-48), None))
    monkeypatch.setattr(math, "sin", lambda x: math.nextafter(sine(x), 2.0))
    for curve, sections in zip(curves, want, strict=True):
        assert np.array_equal(follow(curve, 44_100), sections)


def test_a_caller_may_do_what_it_likes_with_the_sections() -> None:
    curve = prototypes.bell(90.0, 4.0, 0.9)
    first = follow(curve, 44_100)
    kept = first.copy()
    first[:] = 0.0
    assert np.array_equal(follow(curve, 44_100), kept)


def test_a_filter_that_float64_cannot_hold_is_refused() -> None:
    with pytest.raises(PlanError, match=r"allowed from 0\.1 Hz"):
        follow(prototypes.high_pass(1e-3, 2, 0.7), 44_100)
