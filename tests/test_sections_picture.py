"""The sections in text: in time, as high as they are loud, no wider than the terminal."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from hypothesis import given, settings
from hypothesis import strategies as st

from arsis.report.sections_picture import EIGHTHS, ROWS, sections_picture


@dataclass(frozen=True, slots=True)
class Stretch:
    name: str
    start_s: float
    end_s: float
    loudness_lufs: float | None
    step_lu: float | None = None


def song(*levels: float | None, each_s: float = 20.0) -> list[Stretch]:
    return [
        Stretch(
            f"part {i + 1}",
            i * each_s,
            (i + 1) * each_s,
            level,
            None if not i or None in (level, levels[i - 1]) else level - levels[i - 1],  # type: ignore[operator]
        )
        for i, level in enumerate(levels)
    ]


def test_it_is_drawn() -> None:
    """Read by eye once: 6 LU of 8 is a quarter of four rows."""
    assert sections_picture(song(-20.0, -14.0), 40).split("\n") == [
        "                     +6.0",
        "                     ███████████████████",
        "                     ███████████████████",
        "                     ███████████████████",
        "████████████████████ ███████████████████",
        "part 1               part 2",
        "0:00      0:10      0:20      0:30",
    ]


def test_a_name_as_wide_as_its_block_is_whole() -> None:
    """Names of 20 letters; a block is 21 columns wide, and from the second on the first of them is a gap."""
    parts = [replace(one, name=f"the long second ver{i}") for i, one in enumerate(song(-20.0, -14.0, -16.0))]
    names = sections_picture(parts, 63).split("\n")[5]
    assert names == "the long second ver0  the long second ver1 the long second ver2"


def test_what_has_no_steps_and_no_blocks_has_no_empty_lines_for_them() -> None:
    assert sections_picture(song(-20.0), 40).split("\n")[0] == "█" * 40
    assert sections_picture(song(None), 40).split("\n")[0] == "part 1"


def heights(picture: str, columns: list[int]) -> list[int]:
    rows = picture.split("\n")[1 : 1 + ROWS]
    return [sum(EIGHTHS.index(row.ljust(200)[column]) for row in rows) for column in columns]


def test_louder_is_higher_and_silence_has_no_block() -> None:
    found = heights(
        sections_picture(song(-20.0, -18.0, -30.0, None, -math.inf, -18.5), 60), [5, 15, 25, 35, 45, 55]
    )
    assert found[1] > found[5] > found[0] > found[2] > 0
    assert found[3] == found[4] == 0


def test_a_small_step_stays_small() -> None:
    low, high = heights(sections_picture(song(-14.5, -14.0), 60), [10, 50])
    assert 0 < high - low <= 3


@given(
    st.lists(st.floats(0.05, 400.0), min_size=1, max_size=80),
    st.lists(st.none() | st.floats(-60.0, 0.0), min_size=80, max_size=80),
    st.integers(0, 200),
)
@settings(max_examples=40)
def test_it_fits_whatever_the_song(lengths_s: list[float], levels: list[float | None], width: int) -> None:
    at, sections = 0.0, []
    for i, (length_s, level) in enumerate(zip(lengths_s, levels, strict=False)):
        sections.append(Stretch(f"section {i}", at, at + length_s, level, 1.0 if i else None))
        at += length_s
    lines = sections_picture(sections, width).split("\n")
    assert lines[0]
    assert len(lines) <= ROWS + 3
    assert max(map(len, lines)) <= max(width, 40)
    assert all(line == line.rstrip() for line in lines)
