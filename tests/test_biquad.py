"""The cascade against scipy.signal.sosfilt and against its difference equation."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
import scipy.signal as ss
from hypothesis import given, settings
from hypothesis import strategies as st

from arsis.dsp.kernels import biquad
from tests import naive_biquad
from tests.signals import noise
from tests.tolerances import ALGEBRA

pytestmark = pytest.mark.kernels


def sections_of(count: int) -> np.ndarray:
    """Different sections of unlike character: band-passes blended with the dry signal."""
    rows = []
    for k in range(count):
        b, a = ss.iirpeak(0.03 + 0.07 * k, 1.0 + k)
        b = a + (0.4 if k % 2 else -0.3) * b
        rows.append([*b, *a[1:]])
    return np.array(rows)


def run(x: np.ndarray, sections: np.ndarray, cuts: list[int] = []) -> np.ndarray:  # noqa: B006 (never changed)
    state = biquad.rest_state(len(x), len(sections))
    edges = [0, *sorted(cuts), x.shape[1]]
    return np.concatenate(
        [biquad.cascade(x[:, a:b], sections, state) for a, b in pairwise(edges)],
        axis=1,
    )


@pytest.mark.parametrize("count", range(1, 14))
@pytest.mark.parametrize("channels", [1, 2, 3])
def test_agrees_with_scipy(count: int, channels: int) -> None:
    x, sections = noise(3_000, channels), sections_of(count)
    sos = np.insert(sections, 3, 1.0, axis=1)
    np.testing.assert_allclose(run(x, sections), ss.sosfilt(sos, x, axis=1), rtol=0, atol=ALGEBRA)


@pytest.mark.parametrize("channels", [1, 2])
def test_agrees_with_the_difference_equation(channels: int) -> None:
    x, sections = noise(300, channels), sections_of(7)
    np.testing.assert_allclose(run(x, sections), naive_biquad.cascade(x, sections), rtol=0, atol=ALGEBRA)


@given(count=st.integers(1, 13), channels=st.integers(1, 3), cuts=st.lists(st.integers(0, 200), max_size=12))
@settings(max_examples=80)
def test_blocks_never_change_a_bit(count: int, channels: int, cuts: list[int]) -> None:
    x, sections = noise(200, channels), sections_of(count)
    assert np.array_equal(run(x, sections, cuts), run(x, sections))


@given(count=st.integers(1, 13), short=st.integers(0, 15))
@settings(max_examples=60)
def test_grouping_and_company_never_change_a_bit(count: int, short: int) -> None:
    """All sections at once, or one after another; two channels together, or each alone."""
    sections = sections_of(count)
    for frames in (short, 100):
        x = noise(frames)
        one_by_one = x
        for row in sections:
            one_by_one = run(one_by_one, row[np.newaxis])
        together = run(x, sections)
        assert np.array_equal(together, one_by_one)
        assert np.array_equal(together[:1], run(x[:1], sections))
        assert np.array_equal(together[1:], run(x[1:], sections))


def test_no_sections_pass_everything() -> None:
    x = noise(10)
    assert np.array_equal(biquad.cascade(x, np.empty((0, 5)), biquad.rest_state(2, 0)), x)


def test_what_does_not_fit_is_refused() -> None:
    with pytest.raises(ValueError, match="do not fit 2 channels"):
        biquad.cascade(noise(10), sections_of(2), biquad.rest_state(1, 2))
    with pytest.raises(ValueError, match="do not fit"):
        biquad.cascade(noise(10), np.zeros((1, 6)), biquad.rest_state(2, 1))
