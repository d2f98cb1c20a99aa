"""Sound read at places between its frames: against its naive twin, and against sines in closed form."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from arsis.dsp.between import TAPS, between, needed
from arsis.dsp.kernels.shift import read_between

from . import naive_shift
from .signals import noise
from .tolerances import ALGEBRA, BETWEEN_DB

pytestmark = pytest.mark.kernels

PLACES = settings(derandomize=True, deadline=None, max_examples=40)


@PLACES
@given(
    start=st.floats(-60.0, 60.0),
    ratio=st.floats(0.5, 2.0),
    first=st.integers(0, 50),
    frames=st.integers(0, 90),
)
@example(start=-1e-17, ratio=1.0, first=0, frames=1)  # rounds to a whole frame after frame -1
def test_it_is_its_naive_twin(start: float, ratio: float, first: int, frames: int) -> None:
    x, x_first, table = noise(500, 1)[0], -100, noise(9, TAPS).T.copy()
    at = start + ratio * np.arange(first, first + frames)
    found = read_between(x, x_first, first, frames, start, ratio, table)
    np.testing.assert_allclose(found, naive_shift.read_between(x, x_first, at, table), rtol=0, atol=ALGEBRA)


@pytest.mark.parametrize("of_nyquist", [0.01, 0.3, 0.7, 0.9])
@pytest.mark.parametrize("ratio", [1.0, 0.99997, 1.00003])
def test_a_sine_is_read_where_it_is(of_nyquist: float, ratio: float) -> None:
    w, start = np.pi * of_nyquist, 100.37
    wave = np.sin(w * np.arange(3_300))[np.newaxis]
    found = between(wave, 0, start, ratio, 0, 3_000)[0]
    error = found - np.sin(w * (start + ratio * np.arange(3_000)))
    assert 10.0 * np.log10(2.0 * np.mean(error**2)) < BETWEEN_DB


@PLACES
@given(start=st.floats(40.0, 60.0), cuts=st.lists(st.integers(0, 200), max_size=6))
def test_pieces_do_not_matter(start: float, cuts: list[int]) -> None:
    x = noise(500, 2)
    edges = [0, *sorted(cuts), 200]
    parts = []
    for first, end in pairwise(edges):
        low, high = needed(start, 1.00002, first, end - first)
        parts.append(between(x[:, low:high], low, start, 1.00002, first, end - first))
    assert np.array_equal(np.concatenate(parts, axis=1), between(x, 0, start, 1.00002, 0, 200))
