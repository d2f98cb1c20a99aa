"""Columns of plain text and times on a disc."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from arsis.deliver.paperwork.columns import grid, padded, shown_width, wrapped
from arsis.deliver.paperwork.figures import clock_ms, disc_clock


def test_disc_time_as_in_the_standards_arithmetic() -> None:
    """M, S, F of a frame count n: n = (60 M + S) 75 + F (IEC 60908, as GNU ccd2cue and libFLAC have it)."""
    for count in (0, 1, 74, 75, 4_499, 4_500, 333_000, 359_999):
        minutes, seconds, frames = map(int, disc_clock(588 * count).split(":"))
        assert (60 * minutes + seconds) * 75 + frames == count
        assert seconds < 60
        assert frames < 75
    assert disc_clock(588 * 333_000) == "74:00:00"


@given(st.text("ab 長e\u0301", max_size=40), st.integers(2, 12))
@settings(max_examples=100, deadline=None, derandomize=True)
def test_wrapping_loses_nothing_and_keeps_its_width(text: str, width: int) -> None:
    lines = wrapped(text, width)
    assert "".join("".join(lines).split(" ")) == "".join(text.split(" "))
    assert max(map(shown_width, lines)) <= width
    assert all(shown_width(padded(line, width)) == width for line in lines)


def test_a_grid_lines_up() -> None:
    made = grid([("a", "長い", "1"), ("bb bb", "c", "22")], (2, 4, 3), (False, False, True))
    assert made == "a   長い    1\nbb  c      22\nbb"


@given(st.integers(0, 10**9), st.sampled_from([44_100, 48_000, 96_000, 192_000]))
@settings(max_examples=100, deadline=None, derandomize=True)
def test_a_clock_is_right_to_half_a_thousandth(frames: int, rate_hz: int) -> None:
    minutes, seconds = clock_ms(frames, rate_hz).split(":")
    shown_ms = 60_000 * int(minutes) + 1_000 * float(seconds)
    assert abs(shown_ms - 1000 * frames / rate_hz) <= 0.5 + 1e-6
