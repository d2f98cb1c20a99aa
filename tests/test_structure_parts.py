"""The steps between features and sections, each against its definition or a case worked out by hand."""

from __future__ import annotations

import tracemalloc
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import settings as examples
from hypothesis import strategies as st
from scipy.cluster.hierarchy import fcluster, linkage
from scipy.spatial.distance import squareform

from arsis.structure.alignment import OFFSETS, SHIFT_COST, best_alignments
from arsis.structure.bars import _Evidence, _metre
from arsis.structure.boundaries import BAND, _block_scores, find_cuts, is_rise, join_rises
from arsis.structure.evidence import contrast, repetition_edges
from arsis.structure.kinds import guess_kinds, name_sections
from arsis.structure.labels import SAME, _cluster, letter
from arsis.structure.running import Array, means_between, running_max, running_mean
from arsis.structure.units import Units

from .signals import noise
from .tolerances import ALGEBRA


def blocks(*lengths: int) -> np.ndarray:
    """Alike inside each block, unlike across."""
    label = np.repeat(np.arange(len(lengths)), lengths)
    return np.asarray(label[:, None] == label, np.float64)


def alignment(matrices: np.ndarray, one: range, other: range) -> list[float]:
    """The best alignment of two sections, one shift after another."""
    best = (-np.inf, [0.0])
    for offset in range(-OFFSETS, OFFSETS + 1):
        pairs = [(i, i - one.start + other.start + offset) for i in one]
        pairs = [pair for pair in pairs if pair[1] in other]
        if len(pairs) >= max(1.0, 0.5 * min(len(one), len(other))):
            means = [float(np.mean([matrix[pair] for pair in pairs])) for matrix in matrices]
            best = max(
                best, (means[0] + means[1] - SHIFT_COST * abs(offset), means), key=lambda found: found[0]
            )
    return best[1]


@examples(max_examples=20)
@given(st.lists(st.integers(1, 14), min_size=1, max_size=6), st.integers(0, 1000))
def test_sections_are_aligned_where_they_fit_best(lengths: list[int], seed: int) -> None:
    cuts = np.cumsum([0, *lengths])
    matrices = np.random.default_rng(seed).uniform(size=(3, cuts[-1], cuts[-1]))
    found = best_alignments(matrices, cuts)
    spans = [range(int(a), int(b)) for a, b in pairwise(cuts)]
    expected = [[alignment(matrices, one, other) for other in spans] for one in spans]
    np.testing.assert_allclose(found, expected, rtol=0, atol=ALGEBRA)


@examples(max_examples=10)
@given(st.integers(1, 24), st.integers(0, 1000))
def test_block_scores_are_their_definition(count: int, seed: int) -> None:
    """Marmoret, Cohen and Bimbot (2023), eq. 9: the sum over 0 < |i - j| <= band, over the length."""
    half = np.random.default_rng(seed).standard_normal((count, count))
    similar = half + half.T
    scores = _block_scores(similar)
    for start in range(count):
        for stop in range(start + 1, count + 1):
            inside = [
                (i, j) for i in range(start, stop) for j in range(start, stop) if 0 < abs(i - j) <= BAND
            ]
            naive = sum(similar[i, j] for i, j in inside) / (stop - start)
            assert scores[start, stop] == pytest.approx(naive, abs=1e3 * ALGEBRA)


@pytest.mark.parametrize("lengths", [(8, 8, 8), (4, 16, 8, 12), (8, 5, 8), (12,), (3, 9)])
@pytest.mark.parametrize("bars", [True, False])
def test_clear_blocks_are_cut_where_they_change(lengths: tuple[int, ...], bars: bool) -> None:
    similar = blocks(*lengths)
    contrasts = contrast(similar, 4)
    log_odds = 6.0 * contrasts / max(contrasts.max(), 1.0) - 4.0
    assert find_cuts(similar, log_odds, bars).tolist() == [0, *np.cumsum(lengths)]


@pytest.mark.parametrize("count", [1, 2, 3])
def test_a_few_units_are_cut_into_at_most_as_many(count: int) -> None:
    cuts = find_cuts(np.ones((count, count)), np.zeros(count), True)
    assert cuts.tolist() == [0, count]


def test_contrast_is_its_definition() -> None:
    """Foote (2000), without the diagonal and with the likeness of both sides added."""
    half = np.random.default_rng(3).random((12, 12))
    similar, reach = half + half.T, 3
    curve = contrast(similar, reach)
    for unit in range(2, 11):
        before, after = range(max(unit - reach, 0), unit), range(unit, min(unit + reach, 12))
        inside = sum(
            np.mean([similar[i, j] for i in side for j in side if i != j]) for side in (before, after)
        )
        across = np.mean([similar[i, j] for i in before for j in after])
        assert curve[unit] == pytest.approx(max(inside - across, 0.0), abs=1e3 * ALGEBRA)


def test_a_repetition_has_edges_where_it_starts_and_stops() -> None:
    """Units 4 to 11 come again from 20 on; nothing else is alike."""
    names = [*range(20), *range(4, 12), *range(30, 36)]
    similar = np.equal.outer(names, names).astype(float)
    curve = repetition_edges(similar, 4)
    assert set(np.flatnonzero(curve > 0.9 * curve.max())) == {4, 12, 20, 28}


def test_a_rise_is_steady_and_large_enough() -> None:
    assert is_rise(np.array([-24.0, -23.5, -22.0, -20.5]))
    assert not is_rise(np.array([-20.5, -22.0, -23.5, -24.0]))
    assert not is_rise(np.array([-20.0, -20.1, -19.9, -20.0]))
    assert not is_rise(np.array([-24.0, -18.0, -25.0, -20.0]))
    assert not is_rise(np.array([-20.0]))


def test_the_parts_of_a_rise_are_joined_and_others_kept() -> None:
    loudness = np.concatenate([np.full(8, -25.0), [-24.3, -23.6, -22.4, -20.4], np.full(8, -19.0)])
    assert join_rises(np.array([0, 8, 10, 12, 20]), loudness).tolist() == [0, 8, 12, 20]


def test_names_count_what_comes_more_than_once() -> None:
    kinds = ("intro", "verse", "pre_chorus", "chorus", "verse", "pre_chorus", "chorus", "other", "outro")
    assert name_sections(kinds) == (
        "intro", "verse 1", "pre-chorus 1", "chorus 1", "verse 2", "pre-chorus 2", "chorus 2", "part",
        "outro",
    )  # fmt: skip
    assert name_sections(("other",)) == ("song",)


def test_letters_go_on_after_z() -> None:
    assert [letter(number) for number in (0, 1, 25, 26, 27, 52)] == ["A", "B", "Z", "AA", "AB", "BA"]


def test_running_mean_and_max_are_their_definition() -> None:
    values = np.random.default_rng(3).standard_normal((30, 2))
    mean, largest = running_mean(values, 5), running_max(values, 2)
    for row in range(30):
        around = values[max(row - 2, 0) : row + 3]
        assert mean[row] == pytest.approx(around.mean(axis=0), abs=ALGEBRA)
        assert np.array_equal(largest[row], around.max(axis=0))


def test_means_between_take_at_least_one_row() -> None:
    rows = np.arange(10.0)[:, None]
    means = means_between(rows, 0.1, np.array([0.0, 0.3, 0.31, 0.9, 5.0]))
    assert means[:, 0].tolist() == [1.0, 3.0, 5.5, 9.0]


def alike_but_for(loudness: Array) -> Units:
    same = {"width": (5,), "density": (4,), "mel": (40,), "mel_slots": (8, 40), "harmony": (8, 12)}
    same |= {"bass": (4, 12), "rhythm": (16, 4), "bands": (5,)}
    rows = {name: np.zeros((len(loudness), *shape)) for name, shape in same.items()}
    return Units(edges_s=np.arange(len(loudness) + 1.0), loudness=loudness, **rows)


@pytest.mark.parametrize(("late", "kinds"), [(2, ["bridge"] * 2), (3, ["other"] * 3)])
def test_a_song_that_keeps_moving_on_has_parts_and_not_bridge_after_bridge(
    late: int, kinds: list[str]
) -> None:
    labels = np.array([0, 1, 0, 1, *range(2, 2 + late), 0])
    cuts = 4 * np.arange(len(labels) + 1)
    units = alike_but_for(np.repeat(np.where(labels == 0, -10.0, -14.0), 4))
    assert guess_kinds(units, cuts, labels)[4 : 4 + late] == tuple(kinds)


def test_no_chorus_is_the_first_that_comes_back_after_something_else() -> None:
    """What is repeated at once has not come back: C is the first that has, and D the chorus."""
    labels = np.array([0, 1, 1, 2, 3, 4, 2, 3, 5])  # A B B C D E C D F, all as loud
    cuts = np.arange(0, 8 * (len(labels) + 1), 8)
    kinds = guess_kinds(alike_but_for(np.full(cuts[-1], -12.0)), cuts, labels)
    assert [at for at, kind in enumerate(kinds) if kind == "chorus"] == [4, 7]


@pytest.mark.parametrize("seed", range(4))
def test_clusters_are_those_of_average_linkage(seed: int) -> None:
    """scipy.cluster.hierarchy, method "average", cut at the same probability."""
    rng = np.random.default_rng(seed)
    same = rng.uniform(0.0, 1.0, (40, 40))
    same = 0.5 * (same + same.T)
    np.fill_diagonal(same, 1.0)
    theirs = fcluster(linkage(squareform(1.0 - same), "average"), 1.0 - SAME, "distance")
    ours = _cluster(same)
    assert 1 < len(set(ours.tolist())) < 40
    assert [ours.tolist().index(label) for label in ours] == [theirs.tolist().index(n) for n in theirs]


def test_the_metre_of_hours_takes_no_square_of_their_beats() -> None:
    """A matrix of 20,000 beats would be 3.2 GB."""
    down = np.tile([2.0, -0.5, 0.3, -0.5], 5_000)
    likeness: Array = np.tile(np.eye(4, 30), (5_000, 1)) + noise(30, 20_000)
    tracemalloc.start()
    metre = _metre(_Evidence(down, likeness), np.linspace(0.0, 10_000.0, 20_000))
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert metre == 4
    assert peak < 2 * likeness.nbytes
