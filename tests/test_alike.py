"""What sounds in two kinds of section: moments heard, bands summed, and planted treatments found again."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cache

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.signal import lfilter, resample_poly

from arsis.audio import Block
from arsis.measure.alike.hump import Hump, hump_at, hump_between
from arsis.measure.alike.moments import MomentMeter, Moments
from arsis.measure.alike.scale import FIRST_HZ, SIDE, SIDE_HZ, SIZE, TONE, TONE_HZ, Bank, edges_hz
from arsis.measure.alike.transfer import Transfer, kinds_of, transfer
from arsis.measure.shapes import bell_db
from arsis.units import db_to_gain
from tests.tolerances import (
    ALIKE_BESIDE_DB,
    ALIKE_LEVEL_DB,
    ALIKE_OCTAVES,
    ALIKE_SHARE,
    ALIKE_TONE_DB,
    BAND_BINS,
    ONSET_S,
    RATES_HEAR_DB,
)

RATE_HZ = 48_000
EVERY_S = 0.25
SOUNDS, EXTRA = 8, 3  # sounds of both halves, and of one half only
MOMENTS, AT_ONCE = 160, 3
LEVELS_DB = np.linspace(-10.0, 0.0, MOMENTS * AT_ONCE // SOUNDS)
BODY_HZ, EDGE_HZ = (100.0, 590.0), (1_430.0, 7_000.0)
BODY, EDGE = 1, 2  # of the probes
FLOAT32_STEP = 1e-7  # of sounds under full scale
Change = Callable[[Block], Block]


@cache
def one_shot(number: int) -> Block:
    """A struck sound of 0.2 s: noise of its own colour with a ringing note in it, and sides of their own."""
    chance = np.random.default_rng(number)
    t = np.arange(round(0.2 * RATE_HZ)) / RATE_HZ
    hiss = lfilter([1.0], [1.0, -chance.uniform(0.0, 0.97)], chance.standard_normal((2, t.size)))
    hiss *= np.exp(-t / chance.uniform(0.02, 0.06)) / np.abs(hiss).max()
    note = np.sin(2.0 * np.pi * chance.uniform(80.0, 400.0) * t) * np.exp(-t / 0.06)
    mid, side = hiss[0] + 0.7 * note, chance.uniform(0.2, 0.7) * hiss[1]
    closes = np.minimum(1.0, (t[-1] - t) / 0.02)
    return np.stack([mid + side, mid - side]) * closes


def half(seed: int, extra: int = 0) -> Block:
    """Three sounds at once, every quarter of a second: each as often and as loud as in any other half, in an
    order of its own. Every third time one more sounds, of those that this half has to itself."""
    chance = np.random.default_rng(seed)
    order = np.concatenate([chance.permutation(SOUNDS) for _ in LEVELS_DB]).reshape(MOMENTS, AT_ONCE)
    levels_db = [iter(chance.permutation(LEVELS_DB)) for _ in range(SOUNDS)]
    every = round(EVERY_S * RATE_HZ)
    sound = 1e-5 * chance.standard_normal((2, every * MOMENTS))
    for place, numbers in enumerate(order):
        part = sound[:, place * every : place * every + one_shot(0).shape[1]]
        for number in numbers:
            part += 0.2 * db_to_gain(next(levels_db[number])) * one_shot(int(number))
        if extra and place % 3 == 0:
            number = SOUNDS + int(chance.integers(extra))
            part += 0.2 * db_to_gain(chance.uniform(-10.0, 0.0)) * one_shot(number)
    return sound


def heard(sound: Block, rate_hz: int = RATE_HZ, block: int | None = None) -> Moments:
    meter = MomentMeter(rate_hz, *sound.shape)
    step = block or sound.shape[1]
    for start in range(0, sound.shape[1], step):
        meter.add(np.ascontiguousarray(sound[:, start : start + step]))
    return meter.finish()


@cache
def other_half() -> Moments:
    return heard(half(1))


def between(change: Change) -> Transfer:
    """The half with the change in it, which has sounds of its own besides, against the other."""
    one, other = heard(change(half(2, EXTRA))).powers, other_half().powers
    return transfer(np.concatenate([one, other]), np.arange(len(one) + len(other)) < len(one))


def bell(sound: Block, freq_hz: float, gain_db: float) -> Block:
    """R. Bristow-Johnson, "Cookbook formulae for audio EQ biquad filter coefficients", peaking EQ, Q 1."""
    gain, turn = 10.0 ** (gain_db / 40.0), 2.0 * math.pi * freq_hz / RATE_HZ
    alpha, middle = math.sin(turn) / 2.0, -2.0 * math.cos(turn)
    b = [1.0 + alpha * gain, middle, 1.0 - alpha * gain]
    a = [1.0 + alpha / gain, middle, 1.0 - alpha / gain]
    return np.asarray(lfilter(b, a, sound))


def sides(sound: Block, gain_db: float) -> Block:
    mid, side = 0.5 * (sound[0] + sound[1]), 0.5 * db_to_gain(gain_db) * (sound[0] - sound[1])
    return np.stack([mid + side, mid - side])


@pytest.fixture(scope="module")
def unharmed() -> Transfer:
    return between(lambda sound: sound)


def test_halves_treated_alike_show_no_treatment(unharmed: Transfer) -> None:
    for hump in (hump_between(unharmed.tone_db, *BODY_HZ), hump_between(unharmed.tone_db, *EDGE_HZ)):
        assert abs(hump.size_db) < ALIKE_TONE_DB
    assert abs(hump_at(unharmed.tone_db, 70.0).size_db) < ALIKE_TONE_DB
    assert unharmed.width_db is not None
    assert abs(unharmed.width_db.value) < ALIKE_LEVEL_DB
    assert abs(unharmed.level_db.value) < ALIKE_BESIDE_DB


def test_what_both_have_is_told_from_what_one_has(unharmed: Transfer) -> None:
    """Eight sounds of equal share in one half, and in the other of nine parts one that only it has."""
    strokes = MOMENTS * AT_ONCE
    shared = strokes / (strokes + math.ceil(MOMENTS / 3))
    assert abs(unharmed.alike - shared) < ALIKE_SHARE


@pytest.mark.parametrize(
    ("freq_hz", "gain_db", "inside", "probe"), [(250.0, -2.0, BODY_HZ, BODY), (3_000.0, 2.0, EDGE_HZ, EDGE)]
)
def test_a_planted_bell_is_found(
    freq_hz: float, gain_db: float, inside: tuple[float, float], probe: int
) -> None:
    """Its size by what is seen of the probe, as the judge takes it: known to about a fifth."""
    found = between(lambda sound: bell(sound, freq_hz, gain_db))
    hump = hump_between(found.tone_db, *inside)
    assert abs(math.log2(hump.freq_hz / freq_hz)) < ALIKE_OCTAVES
    assert abs(hump.size_db / found.found[probe] - gain_db) < ALIKE_TONE_DB
    assert found.width_db is not None
    assert abs(found.width_db.value) < ALIKE_LEVEL_DB


def test_sides_and_level_taken_down_are_told_apart(unharmed: Transfer) -> None:
    """Level beside what the sounds of one half alone are taken for."""
    found = between(lambda sound: db_to_gain(-1.5) * sides(sound, -2.0))
    assert found.width_db is not None
    assert abs(found.width_db.value + 2.0) < ALIKE_LEVEL_DB
    assert abs(found.level_db.value - unharmed.level_db.value + 1.5) < ALIKE_LEVEL_DB


@pytest.mark.parametrize("block", [997, 4_801, 200_000])
def test_blocks_change_no_bit(block: int) -> None:
    """40 s: over four of the stretches in which onsets are looked for."""
    whole, cut = other_half(), heard(half(1), block=block)
    assert np.array_equal(whole.frames, cut.frames)
    assert np.array_equal(whole.powers, cut.powers)
    assert np.array_equal(whole.sound.mid_side, cut.sound.mid_side)


def test_of_a_long_song_the_first_part_is_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    whole = other_half()
    assert whole.sound.mid_side.shape == half(1).shape
    monkeypatch.setattr("arsis.measure.strokes.sound.LONGEST_S", 10.0)
    short = heard(half(1), block=4_801)
    assert np.array_equal(short.sound.mid_side, whole.sound.mid_side[:, : 10 * RATE_HZ])
    assert np.array_equal(short.powers, whole.powers)


def test_mid_and_side_are_kept() -> None:
    left, right = half(1)
    kept = other_half().sound.mid_side
    assert np.abs(kept - [0.5 * (left + right), 0.5 * (left - right)]).max() < FLOAT32_STEP


def test_every_stroke_is_a_moment_at_its_place() -> None:
    """Also where one stretch gives way to the next: none is missed, none heard twice."""
    found = other_half().frames
    strokes = np.arange(MOMENTS) * round(EVERY_S * RATE_HZ)
    near = np.abs(found[:, None] - strokes[None, :]) <= ONSET_S * RATE_HZ
    assert np.all(near.sum(axis=0) == 1)
    assert np.all(np.diff(found) > 0)


def test_mono_has_no_sides() -> None:
    sound = half(1)[:, : 10 * RATE_HZ]
    one, two = heard(sound[:1]), heard(np.stack([sound[0], sound[0]]))
    assert np.array_equal(one.frames, two.frames)
    assert len(one.frames) >= 40
    assert not one.powers[:, SIDE].any()
    assert np.allclose(one.powers, two.powers, rtol=1e-6, atol=0.0)  # one float32 step: the same mean of two


@pytest.mark.parametrize("rate_hz", [8_000, 44_100, 96_000, 192_000])
@pytest.mark.parametrize("seconds", [0.0, 1.0, 9.5])
def test_silence_has_no_moments(seconds: float, rate_hz: int) -> None:
    found = heard(np.zeros((2, round(seconds * rate_hz))), rate_hz, block=5_000)
    assert found.frames.shape == (0,)
    assert found.powers.shape == (0, SIZE)


def test_what_reaches_over_the_end_is_left_out() -> None:
    """A moment needs its whole fifth of a second."""
    sound = np.concatenate([np.zeros((2, 4_800)), one_shot(0)[:, :4_800]], axis=1)
    assert heard(sound).frames.size == 0
    assert heard(np.concatenate([sound, np.zeros((2, 9_600))], axis=1)).frames.size == 1


def test_at_twice_the_rate_the_same_is_heard() -> None:
    sound = half(1)[:, : 10 * RATE_HZ]
    low = heard(sound)
    high = heard(np.ascontiguousarray(resample_poly(sound, 2, 1, axis=1)), 2 * RATE_HZ)
    assert len(high.frames) == len(low.frames)
    assert np.all(np.abs(high.frames - 2 * low.frames) <= ONSET_S * 2 * RATE_HZ)
    apart_db = 10.0 * np.log10(high.powers.sum(axis=0)[TONE] / low.powers.sum(axis=0)[TONE])
    inside = apart_db[TONE_HZ < 12_000.0]
    assert np.abs(inside - np.median(inside)).max() < RATES_HEAR_DB


@pytest.mark.parametrize("centres_hz", [TONE_HZ, SIDE_HZ, FIRST_HZ])
def test_a_flat_spectrum_sums_to_the_width_of_the_band(centres_hz: NDArray[np.float64]) -> None:
    bin_hz, bins = 5.859375, 4_097  # 8192 points at 48 kHz
    widths = np.diff(edges_hz(centres_hz)) / bin_hz
    assert np.allclose(
        Bank(centres_hz, bin_hz, bins).of(np.ones((2, bins))), widths, rtol=0.0, atol=BAND_BINS
    )


def test_a_bin_counts_for_the_part_of_it_inside() -> None:
    """A bin reaches half-way to its neighbours; by hand, bin by bin and band by band."""
    bin_hz, bins = 40.0, 500
    edges = edges_hz(TONE_HZ)
    power = np.random.default_rng(4).random(bins)
    low, high = (np.arange(bins) - 0.5) * bin_hz, (np.arange(bins) + 0.5) * bin_hz
    parts = np.minimum(edges[1:, None], high) - np.maximum(edges[:-1, None], low)
    by_hand = np.maximum(parts, 0.0) / bin_hz @ power
    assert np.allclose(Bank(TONE_HZ, bin_hz, bins).of(power), by_hand, rtol=0.0, atol=BAND_BINS)


def test_a_bell_is_fitted_beside_a_level_and_a_stray_band() -> None:
    curve = bell_db(TONE_HZ, 300.0, -2.0) + 0.7
    curve[20] += 6.0
    found: Hump = hump_between(np.stack([curve, curve]), *BODY_HZ)
    assert abs(math.log2(found.freq_hz / 300.0)) < 1.0 / 12.0  # the grid of places
    assert abs(found.size_db + 2.0) < 0.2


@pytest.mark.parametrize("rate_hz", [8_000, 48_000, 192_000])
def test_a_moment_belongs_to_the_section_it_begins_in(rate_hz: int) -> None:
    """And one a hair before a down-beat to the section of the down-beat, at any rate."""
    at_s = np.rint(np.array([0.0, 0.98, 0.994, 0.996, 1.0, 1.5]) * rate_hz) / rate_hz
    assert kinds_of(at_s, [0.0, 1.0], ["verse", "chorus"]).tolist() == ["verse"] * 3 + ["chorus"] * 3
