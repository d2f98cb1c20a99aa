"""Joins: law 6, the fade's level, and that no seam is left where one pass gives way to the next."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from arsis.audio import Block
from arsis.measure.seam import SEAM_LIMIT_DB, seam
from arsis.plan.model import Join
from arsis.process import apply
from arsis.render.joins import JoinMixer, JoinSound, fade_gains, ramp
from arsis.render.rides import ride_gain
from arsis.render.schedule import Fade, Hold, RidePointAt, schedule
from arsis.settings import Bell, Compressor, Gain, HighShelf

from .demo_songs import demo_song
from .render_plans import song
from .signals import noise
from .tolerances import FADE_LEVEL_DB, RIDE_DB

RATE = 44_100
AT_S = 1.0  # where the join is
# Stands for any other treatment where the two signals are given, so that the passes are two voices.
OTHER = (Gain(gain_db=1.0),)
TREATMENTS = (
    # What a second pass is usually made of: one to two decibels apart in places.
    Gain(gain_db=0.7),
    Bell(freq_hz=50.0, gain_db=1.5, q=2.0),
    Bell(freq_hz=300.0, gain_db=-1.0),
    HighShelf(freq_hz=8_000.0, gain_db=1.0),
    Compressor(threshold_dbfs=-14.0, ratio=1.5),
)


def treated(x: Block) -> Block:
    for settings_ in TREATMENTS:
        x = apply(settings_, x, RATE)
    return x


def mixed(plan, a: Block, b: Block, cuts=()) -> tuple[Block, JoinMixer]:
    mixer = JoinMixer(schedule(plan, RATE, a.shape[1]), RATE, a.shape[0], keep_sound=True)
    edges = [0, *sorted(cuts), a.shape[1]]
    parts = [mixer.push({"A": a[:, i:j], "B": b[:, i:j]}) for i, j in pairwise(edges)]
    return np.concatenate(parts, axis=1), mixer


def two(join: Join | None = None, rides_db=None):
    return song([0.0, AT_S], "AB", {"A": (), "B": OTHER}, rides_db, join=join)


def sweep() -> Block:
    """A sine from 30 Hz to 15 kHz in two seconds (exponential)."""
    t = np.arange(2 * RATE) / RATE
    octaves = np.log(15_000.0 / 30.0)
    return np.tile(0.4 * np.sin(2 * np.pi * 30.0 * 2.0 / octaves * (np.exp(t / 2.0 * octaves) - 1.0)), (2, 1))


def chord() -> Block:
    """A held chord of twelve partials, nothing struck."""
    t = np.arange(2 * RATE) / RATE
    tones = sum(np.sin(2 * np.pi * f * k * t + k) / k for f in (110.0, 138.59, 164.81) for k in (1, 2, 3, 4))
    return np.stack([0.12 * tones, 0.11 * np.roll(tones, 40)])


def drums() -> Block:
    """A loop at 120 beats a minute that lands on the join: kick, snare, hats over a little room."""
    rng = np.random.default_rng(3)
    x = 0.001 * rng.standard_normal((2, 2 * RATE))
    t = np.arange(RATE // 4) / RATE
    kick = 0.7 * np.sin(2 * np.pi * 50.0 * t + 8.0 * np.exp(-t * 60.0)) * np.exp(-t * 14.0)
    for beat in range(8):
        at = round((beat * 0.25) * RATE)
        hit = kick if beat % 2 == 0 else 0.3 * rng.standard_normal(t.size) * np.exp(-t * 25.0)
        x[:, at : at + t.size] += hit[: 2 * RATE - at]
    return x


@pytest.mark.parametrize("rides_db", [[0.0, 0.0], [0.4, 0.4]])
@given(cut=st.integers(1, 2 * RATE - 1))
@settings(max_examples=5)
def test_a_join_of_equals_is_no_join(rides_db, cut):
    x = noise(2 * RATE)
    boundary = song([0.0, cut / RATE], "AA", {"A": ()}, rides_db)
    none = song([0.0], "A", {"A": ()}, rides_db[:1])
    assert np.array_equal(mixed(boundary, x, x)[0], mixed(none, x, x)[0])


@pytest.mark.kernels
@given(cuts=st.lists(st.integers(0, 2 * RATE), max_size=12))
@settings(max_examples=25)
def test_block_size_never_changes_a_sample(cuts):
    a, b = noise(2 * RATE, seed=1), noise(2 * RATE, seed=2)
    assert np.array_equal(mixed(two(), a, b, cuts)[0], mixed(two(), a, b)[0])


def test_a_long_fade_that_looks_back_beyond_a_short_one_is_measured_on_all_of_its_window():
    """The window of the second fade starts before the first fade does, in another sound."""
    t = np.arange(6 * RATE) / RATE
    a = np.where(t < 3.0, 0.3 * np.sin(2 * np.pi * 60.0 * t), 0.05 * noise(t.size, 1, seed=10))
    b = np.where(t < 3.0, a, 0.05 * noise(t.size, 1, seed=11))
    plan = song([0.0, 3.0, 5.0], "ABA", {"A": (), "B": OTHER})
    plan = replace(
        plan, section=(*plan.section[:2], replace(plan.section[2], join=Join(fade_ms=1_900.0, lead_ms=0.0)))
    )
    whole, at_once = mixed(plan, a, b)
    pieces, in_pieces = mixed(plan, a, b, range(1_000, t.size, 1_000))
    assert in_pieces.reports == at_once.reports
    assert np.array_equal(pieces, whole)


@pytest.mark.parametrize("rho", [1.0, 0.99, 0.9, 0.5, 0.0])
def test_level_through_the_fade_stays_on_the_straight_line(rho):
    """DESIGN law 6, on broadband noise of a known correlation; the fade is long so that level is exact."""
    frames = 400_000
    a = noise(frames, 1, seed=4)
    b = rho * a + (1.0 - rho**2) ** 0.5 * noise(frames, 1, seed=5)
    leaves, comes = fade_gains(frames, rho)
    level = np.mean((a * leaves + b * comes).reshape(8, -1) ** 2, axis=1)
    line = np.mean(((1 - 0.5) * a + 0.5 * a) ** 2)
    assert np.max(np.abs(10 * np.log10(level / line))) < FADE_LEVEL_DB


@pytest.fixture(scope="module")
def a_song() -> tuple[Block, Block]:
    """Fifty seconds of a demo song, as it is and through the usual second pass."""
    x = demo_song("low-water").stems.mix[:, 20 * RATE : 70 * RATE] * 2.0**-23
    return x, treated(x)


@pytest.mark.parametrize("fade_ms", [20.0, 200.0, 2_000.0])
def test_level_through_the_fades_of_a_song_stays_on_the_line_between_its_passes(a_song, fade_ms):
    """DESIGN law 6 on music, the correlation measured: an eighth of a fade at a time, joins everywhere.

    The line is straight in amplitude along the ramp. Equal power would stand more than 2 dB above it.
    """
    starts = [float(at) for at in range(3, 48, 3)]
    plan = song([0.0, *starts], "AB" * 8, {"A": (), "B": OTHER}, join=Join(fade_ms=fade_ms))
    _, mixer = mixed(plan, *a_song)
    assert len(mixer.sounds) == len(starts)
    for sound in mixer.sounds:
        before, after, made = (eighths(sound, part) for part in (sound.before, sound.after, sound.made))
        w = ramp(sound.fade.frames)[: 8 * (sound.fade.frames // 8)].reshape(8, -1).mean(axis=1)
        line = (1.0 - w) * before + w * after
        assert np.max(np.abs(20 * np.log10(made / line))) < FADE_LEVEL_DB


def eighths(sound: JoinSound, part: Block) -> Block:
    """Level of each eighth of a fade, as an amplitude."""
    start, frames = sound.fade.start - sound.span.start, sound.fade.frames // 8
    fade = part[:, start : start + 8 * frames].reshape(2, 8, frames)
    return np.sqrt(np.mean(fade**2, axis=(0, 2)))


def test_the_correlation_is_the_one_of_the_two_signals():
    a = noise(2 * RATE, seed=6)
    b = 0.6 * a + 0.8 * noise(2 * RATE, seed=7)
    _, mixer = mixed(two(), a, b)
    assert mixer.reports[0].correlation == pytest.approx(0.6, abs=0.02)
    assert not mixer.reports[0].alike


@pytest.mark.kernels
@pytest.mark.parametrize(
    "make", [sweep, chord, drums, lambda: noise(2 * RATE)], ids=["sweep", "chord", "drums", "noise"]
)
def test_no_seam_is_left_between_two_passes(make):
    """Excitation above or below both passes stays under half of what is just noticeable (measure.seam)."""
    x = make()
    _, mixer = mixed(two(), x, treated(x))
    sound = mixer.sounds[0]
    made = seam(sound.made, sound.before, sound.after, RATE)
    assert made.bump_db < SEAM_LIMIT_DB
    assert made.dip_db < SEAM_LIMIT_DB


def test_a_step_of_five_decibels_in_a_held_chord_wants_a_longer_fade_and_gets_clean_with_it():
    x = chord()
    _, mixer = mixed(two(Join(fade_ms=50.0)), x, x * 10 ** (5 / 20))
    sound = mixer.sounds[0]
    assert seam(sound.made, sound.before, sound.after, RATE).clean


@pytest.mark.parametrize("make", [sweep, chord], ids=["sweep", "chord"])
def test_a_hard_cut_between_passes_three_decibels_apart_fails_the_same_check(make):
    x = make()
    _, mixer = mixed(two(Join(fade_ms=0.0, lead_ms=2.0)), x, x * 10 ** (3 / 20))
    sound = mixer.sounds[0]
    assert not seam(sound.made, sound.before, sound.after, RATE).clean


def test_the_first_attack_of_a_section_is_wholly_the_new_pass():
    a, b = noise(2 * RATE, seed=8), noise(2 * RATE, seed=9)
    out, _ = mixed(two(), a, b)
    start = round(AT_S * RATE)
    assert np.array_equal(out[:, start:], b[:, start:])
    assert np.array_equal(out[:, : start - round(0.022 * RATE) - 1], a[:, : start - round(0.022 * RATE) - 1])


def test_a_turned_high_pass_says_how_deep_the_low_end_dips():
    """A phase rotation that no law can join: the report names the octave and the depth."""
    x = chord()
    t = np.arange(x.shape[1]) / RATE
    low = 0.2 * np.sin(2 * np.pi * 63.0 * t)
    _, mixer = mixed(two(), x + low, x - low)
    assert mixer.reports[0].dip_freq_hz == 63.0
    assert mixer.reports[0].dip_db < -6.0


def test_a_join_that_dips_names_a_place_where_there_is_less_to_lose():
    """The low note stops 80 ms before the fade for a while: a fade there would meet almost none of it."""
    x = chord()
    t = np.arange(x.shape[1]) / RATE
    gap = np.clip(np.abs(t - (AT_S - 0.09)) / 0.04 - 0.5, 0.0, 1.0)
    low = 0.3 * np.sin(2 * np.pi * 125.0 * t) * gap
    _, mixer = mixed(two(), x + low, x - low)
    report = mixer.reports[0]
    assert report.dip_freq_hz == 125.0
    assert 40.0 < report.earlier_ms < 110.0
    assert report.quieter_db > 6.0


def test_stretches_tile_the_song():
    plan = song([0.0, 0.5, 1.0, 1.5], "ABBA", {"A": (), "B": OTHER}, [0.0, 0.0, 0.3, 0.0])
    made = schedule(plan, RATE, 2 * RATE)
    edges = [(s.span.start, s.span.end) for s in made.stretches]
    assert edges[0][0] == 0
    assert edges[-1][1] == 2 * RATE
    assert all(a[1] == b[0] for a, b in pairwise(edges))
    assert [type(s) for s in made.stretches] == [Hold, Fade, Hold, Fade, Hold, Fade, Hold]


@pytest.mark.kernels
@given(
    points=st.lists(
        st.tuples(st.integers(0, 900), st.floats(-6.0, 6.0)), min_size=1, max_size=5, unique_by=lambda p: p[0]
    ),
    cuts=st.lists(st.integers(0, 1_000), max_size=5),
)
@settings(max_examples=50)
def test_a_drawn_ride_is_linear_in_decibels_between_its_points(points, cuts):
    points = sorted(points)
    drawn = [RidePointAt(frame, db) for frame, db in points]
    edges = [0, *sorted(cuts), 1_000]
    gain = np.concatenate([ride_gain(drawn, a, b) for a, b in pairwise(edges)])
    want_db = np.interp(np.arange(1_000), [p[0] for p in points], [p[1] for p in points])
    np.testing.assert_allclose(20 * np.log10(gain), want_db, rtol=0, atol=RIDE_DB)
    assert np.array_equal(gain, ride_gain(drawn, 0, 1_000))


@pytest.mark.kernels
def test_no_ride_is_exactly_one():
    assert np.array_equal(ride_gain([RidePointAt(3, 0.0), RidePointAt(7, 0.0)], 0, 20), np.ones(20))
