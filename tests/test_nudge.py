"""A grid that is half a bar or an octave of tempo off, put right with every start at once."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from arsis.structure import (
    Features,
    FeatureStream,
    Grid,
    Structure,
    find_structure,
    followed,
    grid_of,
    nearest_downbeat,
    nudged_grid,
    nudged_starts,
)

from .signals import noise
from .songs import CHORUS, INTRO, OUTRO, PLAIN, VERSE, make_song
from .tolerances import ON_DOWNBEAT_S

FORM = (INTRO, VERSE, CHORUS, replace(VERSE, bars=6), CHORUS, OUTRO)


@cache
def heard() -> tuple[Features, Structure, Grid, list[float]]:
    """A song as heard, its bars and the true starts of its sections."""
    made = make_song(138.0, FORM)
    stream = FeatureStream(made.rate_hz, 2)
    stream.add(made.sound)
    features = stream.result()
    found = find_structure(features)
    grid = grid_of(found)
    assert grid is not None
    assert grid.metre == 4
    return features, found, grid, [float(at) for at in made.starts_s]


def bar_s(grid: Grid) -> float:
    return float(np.median(np.diff(grid.downbeats_s)))


@pytest.mark.parametrize("signs", [(1, 1, 1, 1, 1), (-1, -1, -1, -1, -1), (1, 1, 1, 1, -1)])
def test_half_a_bar_puts_every_start_right(signs: tuple[int, ...]) -> None:
    """Starts that a finder with bars half a bar off would have written: beside the true ones, either way."""
    features, _, grid, true = heard()
    off = [true[0], *(at + sign * bar_s(grid) / 2.0 for at, sign in zip(true[1:], signs, strict=True))]
    wrong = nudged_grid(grid, "half-bar")
    right = nudged_grid(wrong, "half-bar")
    np.testing.assert_allclose(
        nudged_starts(features, right, off, "half-bar"), true, rtol=0, atol=ON_DOWNBEAT_S
    )


def test_half_a_bar_twice_is_nothing() -> None:
    _, _, grid, _ = heard()
    twice = nudged_grid(nudged_grid(grid, "half-bar"), "half-bar")
    assert set(twice.down[1:-1]) == set(grid.down[1:-1])
    assert not set(nudged_grid(grid, "half-bar").down) & set(grid.down)


def test_double_puts_starts_on_the_bars_that_were_not_seen() -> None:
    """A tempo found at half: bars twice as long, and starts on the nearest of them."""
    features, _, grid, true = heard()
    slow = nudged_grid(grid, "half", [true[0], *(at + bar_s(grid) for at in true[1:])])
    assert slow.tempo_bpm == pytest.approx(grid.tempo_bpm / 2.0)
    snapped = [true[0], *(nearest_downbeat(slow, at) for at in true[1:])]
    assert np.abs(np.array(snapped) - true).max() > bar_s(grid) / 2.0  # some could not be right
    fast = nudged_grid(slow, "double")
    assert fast.tempo_bpm == pytest.approx(grid.tempo_bpm)
    np.testing.assert_allclose(
        nudged_starts(features, fast, snapped, "double"), true, rtol=0, atol=ON_DOWNBEAT_S
    )


def test_half_keeps_the_downbeats_that_the_starts_are_on() -> None:
    features, _, grid, true = heard()
    fast = nudged_grid(grid, "double")
    slow = nudged_grid(fast, "half", true[1:])
    assert bar_s(slow) == pytest.approx(bar_s(grid), rel=1e-3)
    np.testing.assert_allclose(nudged_starts(features, slow, true, "half"), true, rtol=0, atol=ON_DOWNBEAT_S)


def test_bars_are_read_through_the_sections_of_a_plan() -> None:
    """Once the starts were nudged, the next correction goes to their down-beats, not to those found."""
    _, _, grid, true = heard()
    half = bar_s(grid) / 2.0
    later = followed(grid, [0.0, *(at + half for at in true[1:])])
    np.testing.assert_array_equal(later.down, nudged_grid(grid, "half-bar").down)
    assert followed(grid, true) is grid
    assert followed(grid, [0.0]) is grid
    assert nearest_downbeat(later, true[2] + 0.6 * half) == pytest.approx(true[2] + half, abs=ON_DOWNBEAT_S)


def test_downbeats_go_on_at_both_ends_of_the_song() -> None:
    _, _, grid, _ = heard()
    last = float(grid.downbeats_s[-1])
    assert nearest_downbeat(grid, last + 1.9 * bar_s(grid)) == pytest.approx(last + 2.0 * bar_s(grid))
    assert nearest_downbeat(grid, -1.0) >= 0.0


def test_without_a_beat_there_is_no_grid() -> None:
    stream = FeatureStream(8_000, 2)
    stream.add(noise(8_000 * 20))
    assert grid_of(find_structure(stream.result())) is None


def test_where_only_chords_change_they_say_which_way() -> None:
    made = make_song(132.0, PLAIN)
    stream = FeatureStream(made.rate_hz, 2)
    stream.add(made.sound)
    features = stream.result()
    grid = Grid(made.tempo_bpm, made.beats_s, 4 * np.arange(len(made.downbeats_s)), 4)
    right = nudged_grid(nudged_grid(grid, "half-bar"), "half-bar")
    for sign in (1, -1):
        off = [0.0, *(float(at) + sign * bar_s(grid) / 2.0 for at in made.starts_s[1:])]
        moved = nudged_starts(features, right, off, "half-bar")
        np.testing.assert_allclose(moved, made.starts_s, rtol=0, atol=ON_DOWNBEAT_S)
