"""Strokes that come again as the same waveform: found among others, and a planted treatment read off them."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cache

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.signal import lfilter

from arsis.advice.shape_level import KNOWN_WIDTH_DB
from arsis.advice.tone import ToneFound
from arsis.advice.tone_strokes import tone_by_strokes
from arsis.audio import Block
from arsis.measure.figure import Figure
from arsis.measure.shapes import bell_db
from arsis.measure.strokes.agreed import agreed
from arsis.measure.strokes.apart import taken_apart
from arsis.measure.strokes.between import Strokes, strokes_between
from arsis.measure.strokes.find import Group, groups
from arsis.measure.strokes.solve import Solved, solved
from arsis.measure.strokes.sound import Onsets, Sound, mid_side, struck
from arsis.measure.strokes.stack import FOLDS, gains_db
from arsis.measure.strokes.treatment import bell_at
from arsis.measure.strokes.views import BANDS_HZ, MUCH_THE_SAME
from arsis.measure.strokes.waves import BEFORE_S, MID, Part, Waves, cut, third_octaves
from arsis.units import db_to_gain
from tests.test_alike import RATE_HZ, bell, one_shot, sides
from tests.tolerances import (
    ONSET_S,
    STROKES_APART_DB,
    STROKES_LEVEL_DB,
    STROKES_OCTAVES,
    STROKES_STACK_DB,
    STROKES_TONE_DB,
)

FRAMES, EVERY = 8_192, 19_200
BEFORE = round(BEFORE_S * RATE_HZ)
EACH, KINDS_OF_STROKE = 60, 4
REST_DB = -3.0  # what else sounds, under the strokes
Change = Callable[[Block], Block]


def untreated(sound: Block) -> Block:
    return sound


@cache
def half(seed: int, same: bool = True) -> Block:
    """Left and right, a stroke every EVERY frames: one of a few samples, up to 4 ms off its onset and up to
    1 dB off its level, in noise. same: or no two strokes alike."""
    chance = np.random.default_rng(seed)
    sound = chance.standard_normal((2, EACH * EVERY))
    for number in range(EACH):
        shot = one_shot(number % KINDS_OF_STROKE if same else 1_000 * seed + number)[:, : FRAMES - 800]
        late = number * EVERY + BEFORE + round(chance.uniform(-0.004, 0.004) * RATE_HZ)
        place = sound[:, number * EVERY : (number + 1) * EVERY]
        place *= float(np.sqrt(np.mean(shot**2))) * db_to_gain(REST_DB)
        sound[:, late : late + shot.shape[1]] += db_to_gain(chance.uniform(-1.0, 1.0)) * shot
    return 0.2 * sound


def mix(change: Change, same: bool = True) -> tuple[Sound, Onsets, NDArray[np.bool_]]:
    """A half with a change in it, and another as it is; the first is the `one` kind."""
    around = np.zeros((2, EVERY))
    sound = np.concatenate([around, change(half(1, same)), half(2, same), around], axis=1)
    at = EVERY + BEFORE + EVERY * np.arange(2 * EACH)
    sharp = np.ones(at.size, np.bool_)
    return Sound(RATE_HZ, mid_side(sound).astype(np.float32)), Onsets(at, sharp), np.arange(2 * EACH) < EACH


@cache
def between(change: Change) -> Strokes:
    return strokes_between(*mix(change))


def value(figure: Figure | None) -> float:
    assert figure is not None
    return figure.value


def test_the_same_samples_are_found_and_told_apart() -> None:
    sound, onsets, _ = mix(untreated)
    heard = Waves(RATE_HZ, cut(sound.mid_side, onsets.frames - BEFORE, FRAMES))
    found = groups(heard, MUCH_THE_SAME)
    samples = [set((group.members % EACH % KINDS_OF_STROKE).tolist()) for group in found]
    # By their lows alone some may be taken for one.
    assert all({number} in samples for number in range(KINDS_OF_STROKE))


def test_where_no_two_strokes_are_the_same_nothing_is_told() -> None:
    found = strokes_between(*mix(untreated, same=False))
    assert not [one for one in tone_by_strokes(found).told.values() if isinstance(one, ToneFound)]
    assert found.width is None or found.width.error > KNOWN_WIDTH_DB


def test_halves_treated_alike_show_no_treatment() -> None:
    found = between(untreated)
    assert abs(value(found.level)) < STROKES_LEVEL_DB
    assert abs(value(found.width)) < STROKES_LEVEL_DB
    for low_hz, high_hz in ((140.0, 420.0), (2_000.0, 5_000.0)):
        hump = found.bell_between(low_hz, high_hz)
        assert hump is not None
        assert abs(hump.size_db) < STROKES_TONE_DB


def dip(sound: Block) -> Block:
    return bell(sound, 250.0, -2.0)


def rise(sound: Block) -> Block:
    return bell(sound, 3_000.0, 1.5)


@pytest.mark.parametrize(
    ("change", "freq_hz", "gain_db", "inside"),
    [(dip, 250.0, -2.0, (100.0, 590.0)), (rise, 3_000.0, 1.5, (1_430.0, 7_000.0))],
)
def test_a_planted_bell_is_found(
    change: Change, freq_hz: float, gain_db: float, inside: tuple[float, float]
) -> None:
    found = between(change).bell_between(*inside)
    assert found is not None
    assert abs(math.log2(found.freq_hz / freq_hz)) < STROKES_OCTAVES
    assert abs(found.size_db - gain_db) < STROKES_TONE_DB
    tone = between(change).without(found).tone
    assert tone is not None
    left = bell_at(tone, BANDS_HZ, found.freq_hz)
    assert left is not None
    assert abs(left.size_db) < 0.01  # a thing taken off is gone


def narrow_and_quiet(sound: Block) -> Block:
    return db_to_gain(-1.5) * sides(sound, -2.0)


def test_sides_and_level_taken_down_are_told_apart() -> None:
    found, as_it_was = between(narrow_and_quiet), between(untreated)
    assert abs(value(found.width) - value(as_it_was.width) + 2.0) < STROKES_LEVEL_DB
    assert abs(value(found.level) - value(as_it_was.level) + 1.5) < STROKES_LEVEL_DB


def test_what_strokes_share_is_gained_to_the_figure() -> None:
    """By hand: the same stroke thirty times in each kind, 1.7 dB louder in one, and nothing else."""
    chance = np.random.default_rng(5)
    stroke = chance.standard_normal(4_096) * np.hanning(4_096)
    part = Part(
        RATE_HZ, 4_096, np.fft.rfft([stroke] * 30 + [db_to_gain(1.7) * stroke] * 30).astype(np.complex64)
    )
    is_one = np.arange(60) >= 30
    found = gains_db(part, part.edges(third_octaves(100.0, 10_000.0)), is_one, np.arange(60) % FOLDS)
    assert found.shape == (1 + FOLDS, 20)
    assert np.abs(found - 1.7).max() < STROKES_STACK_DB


def test_levels_of_groups_are_no_tone() -> None:
    """gain(group, band) = level(group) + tone(band): the tone comes out, whatever each group tells."""
    tone_db = bell_db(BANDS_HZ, 500.0, 2.0)
    gains = np.tile(tone_db, (4, 1 + FOLDS, 1))
    gains += np.array([0.6, -0.6, 0.3, -0.3])[:, None, None]
    gains += 0.02 * np.random.default_rng(3).standard_normal(gains.shape)
    gains[0, :, 12:], gains[1, :, :8] = np.nan, np.nan
    found = solved(gains)
    assert found is not None
    size = bell_at(found, BANDS_HZ, 500.0)
    assert size is not None
    assert abs(size.size_db - 2.0) < STROKES_TONE_DB


def less_lows(sound: Block) -> Block:
    """R. Bristow-Johnson, "Cookbook formulae for audio EQ biquad filter coefficients", low shelf, Q 0.707."""
    gain, turn = 10.0 ** (-2.0 / 40.0), 2.0 * math.pi * 130.0 / RATE_HZ
    cos, slope = math.cos(turn), math.sqrt(2.0 * gain) * math.sin(turn)
    over, under = gain + 1.0, gain - 1.0
    b = gain * np.array([over - under * cos + slope, 2.0 * (under - over * cos), over - under * cos - slope])
    a = np.array([over + under * cos + slope, -2.0 * (under + over * cos), over + under * cos - slope])
    return np.asarray(lfilter(b, a, sound))


def test_a_planted_shelf_is_told_as_low_end() -> None:
    found = between(less_lows).low_end()
    assert found is not None
    assert abs(found.size_db + 2.0) < 2.0 * found.error_db + STROKES_TONE_DB
    assert found.size_db < -1.0


@pytest.mark.parametrize("strokes", [0, 1, 5])
def test_a_few_strokes_tell_nothing(strokes: int) -> None:
    sound, onsets, is_one = mix(untreated)
    some = np.arange(2 * EACH) < strokes
    found = strokes_between(sound, onsets.taken(some), is_one[some])
    assert (found.count, found.tone, found.level) == (0, None, None)


def test_low_rates_are_not_judged_by_strokes() -> None:
    sound, onsets, is_one = mix(untreated)
    assert strokes_between(Sound(22_050, sound.mid_side), onsets, is_one).count == 0


def test_sounds_over_one_another_are_taken_apart() -> None:
    """Two sounds, each at times alone and at times 30 ms from the other: each is given back by itself."""
    chance = np.random.default_rng(9)
    shots = [one_shot(number).mean(axis=0)[: FRAMES - 800] for number in (0, 1)]
    places = [np.sort(chance.permutation(40)[:20]) for _ in shots]
    starts = [EVERY * (1 + place) + kind * round(0.03 * RATE_HZ) for kind, place in enumerate(places)]
    sound = np.zeros((2, 42 * EVERY), np.float32)
    for shot, begins in zip(shots, starts, strict=True):
        for start in begins:
            sound[MID, start : start + shot.size] += shot
    found = tuple(Group(np.arange(20 * kind, 20 * kind + 20), np.zeros(20), 1.0) for kind in (0, 1))
    apart = taken_apart(Sound(RATE_HZ, sound), np.concatenate(starts), found, FRAMES)
    for shot, begins, by_itself in zip(shots, starts, apart, strict=True):
        together = _beside(cut(sound, begins, FRAMES), shot)
        assert _beside(by_itself.sound, shot) < together - STROKES_APART_DB


def _beside(strokes: NDArray[np.float32], shot: NDArray[np.float64]) -> float:
    """How loud what is not the sound itself is beside it, in dB."""
    away = strokes[:, MID, : shot.size] - shot
    return float(10.0 * np.log10(np.mean(away**2) / np.mean(shot**2)))


def test_views_that_differ_know_less() -> None:
    flat = np.zeros((1 + FOLDS, BANDS_HZ.size))
    views = [
        Solved(flat + tone_db, np.full(BANDS_HZ.size, 0.3), 0.09 * np.eye(BANDS_HZ.size))
        for tone_db in (bell_db(BANDS_HZ, 200.0, 2.0), 3.0 + np.zeros(BANDS_HZ.size))
    ]
    whole = agreed(views)
    assert whole is not None
    hump = bell_at(whole, BANDS_HZ, 200.0)
    assert hump is not None
    assert abs(hump.size_db - 1.0) < STROKES_TONE_DB  # levels are no tone: half of what one of the two has
    far, near = (int(np.argmin(np.abs(BANDS_HZ - at_hz))) for at_hz in (8_000.0, 200.0))
    assert whole.error_db[near] > 2.0 * whole.error_db[far]
    assert whole.error_db.min() >= 0.3  # the same strokes, heard twice
    assert agreed([views[0], None]) is views[0]
    assert agreed([None, None]) is None


def test_what_is_struck_in_one_band_alone_is_heard() -> None:
    """Soft hats over a held bass that hides them from the whole."""
    at = RATE_HZ // 2 * np.arange(1, 9)
    t = np.arange(5 * RATE_HZ) / RATE_HZ
    mid = 0.5 * np.sin(2.0 * np.pi * 60.0 * t)
    hat = 0.02 * np.random.default_rng(4).standard_normal(2_400) * np.exp(-np.arange(2_400) / 600.0)
    for place in at:
        mid[place : place + hat.size] += hat
    found = struck(Sound(RATE_HZ, np.stack([mid, 0.0 * mid]).astype(np.float32)), at[:1])
    near = np.abs(found.frames[:, None] - at).min(axis=0)
    assert near.max() <= round(ONSET_S * RATE_HZ)
    assert found.frames[found.sharp].tolist() == [at[0]]
