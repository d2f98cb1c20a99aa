"""What the rest of a song tells of a unit, on songs that are made of letters."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from arsis.structure.second_look import NEIGHBOURS, OUTSIDE, REGULAR, network, rows_of

Array = NDArray[np.float64]

UNITS = 8  # of a section
FORM = "ABACABA"
CURVES = 10


def song(form: str = FORM) -> Array:
    """Likeness of the units of sections of UNITS units: the same unit of the same letter is alike."""
    named = [f"{letter}{unit}" for letter in form for unit in range(UNITS)]
    letters = np.array([name[0] for name in named])
    same = np.array(named)[:, None] == np.array(named)
    return 0.4 * (letters[:, None] == letters) + 0.6 * same


def rows(odds: Array, likeness: Array) -> Array:
    return rows_of(np.zeros((len(odds), CURVES)), odds, likeness, 2.0)


def test_the_network_takes_the_rows_that_are_made() -> None:
    made = rows(np.zeros(7 * UNITS), song())
    net = network()
    assert made.shape[1] == len(net.mean) == len(net.deviation) == len(net.hidden) == len(net.straight)
    assert net.hidden.shape[1] == len(net.bias) == len(net.out)
    assert np.isfinite(net.log_odds(made)).all()
    # Worked by hand for one unit.
    scaled = np.clip((made[3] - net.mean) / net.deviation, -4.0, 4.0)
    hidden = [np.tanh(scaled @ net.hidden[:, k] + net.bias[k]) for k in range(len(net.bias))]
    expected = (
        sum(h * o for h, o in zip(hidden, net.out, strict=True)) + scaled @ net.straight + net.intercept
    )
    assert abs(net.log_odds(made)[3] - expected) < 1e-12


def test_neighbours_and_regular_places_are_told_in_order() -> None:
    odds = np.arange(40.0)
    made = rows(odds, np.eye(40))
    first = CURVES + 1
    near = made[:, first : first + len(NEIGHBOURS)]
    np.testing.assert_array_equal(near[20], [21.0, 22.0, 23.0])
    regular = made[:, first + len(NEIGHBOURS) : first + len(NEIGHBOURS) + len(REGULAR)]
    np.testing.assert_array_equal(regular[20], 20.0 + np.array(REGULAR))
    np.testing.assert_array_equal(regular[0], [4.0, OUTSIDE, 8.0, OUTSIDE, 16.0, OUTSIDE])


def test_what_returns_is_told_that_it_started_before() -> None:
    """The start of the last A looks like nothing by itself; those of the others are clear."""
    count = len(FORM) * UNITS
    odds = np.full(count, -4.0)
    odds[:-UNITS:UNITS] = 3.0
    made = rows(odds, song())
    returned = CURVES + 1 + len(NEIGHBOURS) + len(REGULAR)
    for column in (returned, returned + 2):
        last = made[-UNITS:, column]
        assert last.argmax() == 0
        assert made[-UNITS, column + 1] > 0.0  # more than beside it
    assert network().log_odds(made)[-UNITS] > network().log_odds(made)[-UNITS + 1 :].max()


def test_a_song_of_one_unit_and_one_that_never_changes_are_no_trouble() -> None:
    for count in (1, 2, 3, 50):
        assert np.isfinite(network().log_odds(rows(np.zeros(count), np.ones((count, count))))).all()
