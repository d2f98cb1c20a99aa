"""The sections of a song in text: a row of blocks in time, each as high as it is loud."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Protocol

from .text import change, clock

ROWS = 4
EIGHTHS = " ▁▂▃▄▅▆▇█"
# The loudest block fills the rows. The range is at least so many LU, so that small steps look small, and at
# most so many: what is softer lies at the bottom.
LEAST_LU, MOST_LU = 8.0, 24.0
NARROWEST = 40
TICKS_S = (5, 10, 15, 30, 60, 120, 300, 600, 1200, 3600)
TICK_WIDTH = 10  # columns between marks of time, at least


class Block(Protocol):
    """A section with its loudness."""

    @property
    def name(self) -> str: ...
    @property
    def start_s(self) -> float: ...
    @property
    def end_s(self) -> float: ...
    @property
    def loudness_lufs(self) -> float | None: ...
    @property
    def step_lu(self) -> float | None: ...


def sections_picture(sections: Sequence[Block], width: int) -> str:
    """Steps over the blocks, names and time under them; no line is wider than `width`, or 40 columns."""
    width = max(width, NARROWEST)
    end_s = sections[-1].end_s
    edges = _edges([section.start_s for section in sections], end_s, width)
    spans = list(pairwise(edges))
    heights = _heights([section.loudness_lufs for section in sections])
    rows = [_row(spans, heights, row) for row in reversed(range(ROWS))]
    steps = _labels(spans, [_step(section.step_lu) for section in sections], cut=False)
    names = _labels(spans, [section.name for section in sections], cut=True)
    lines = "\n".join(line.rstrip() for line in (steps, *rows, names, _time_axis(end_s, width)))
    return lines.lstrip("\n")  # one section has no steps, silence no blocks


def _edges(starts_s: Sequence[float], end_s: float, width: int) -> list[int]:
    """Columns at which the sections start, and the last: at least one each, where there is room."""
    edges = [min(round(start / end_s * width), width) if end_s > 0.0 else 0 for start in starts_s]
    for i in range(1, len(edges)):
        edges[i] = min(max(edges[i], edges[i - 1] + 1), width)
    return [*edges, width]


def _heights(levels: Sequence[float | None]) -> list[int]:
    """Of each block, in eighths of a row; 0 where nothing sounds."""
    known = [level for level in levels if level is not None and math.isfinite(level)]
    if not known:
        return [0] * len(levels)
    top = max(known)
    span = min(max(1.25 * (top - min(known)), LEAST_LU), MOST_LU)
    full = ROWS * (len(EIGHTHS) - 1)
    return [
        0 if level is None or not math.isfinite(level) else max(1, round(full * (1.0 - (top - level) / span)))
        for level in levels
    ]


def _row(spans: Sequence[tuple[int, int]], heights: Sequence[int], row: int) -> str:
    """One row of the blocks, 0 the lowest; a gap before each block but the first sets it apart."""
    parts = []
    for place, ((start, end), height) in enumerate(zip(spans, heights, strict=True)):
        filled = EIGHTHS[min(max(height - row * (len(EIGHTHS) - 1), 0), len(EIGHTHS) - 1)]
        gap = " " if place and end - start > 1 else ""
        parts.append(gap + filled * (end - start - len(gap)))
    return "".join(parts)


def _step(step_lu: float | None) -> str:
    return change(step_lu) if step_lu is not None and math.isfinite(step_lu) else ""


def _labels(spans: Sequence[tuple[int, int]], texts: Sequence[str], *, cut: bool) -> str:
    """Each text at the left of its block; one that is too long is cut, or left out."""
    parts = []
    for place, ((start, end), text) in enumerate(zip(spans, texts, strict=True)):
        gap = " " if place else ""  # as before the blocks, so that two texts never touch
        room = end - start - len(gap)
        shown = text if len(text) <= room else text[:room] if cut else ""
        parts.append((gap + shown).ljust(end - start)[: end - start])
    return "".join(parts)


def _time_axis(end_s: float, width: int) -> str:
    if end_s <= 0.0:
        return ""
    tick_s = next((tick for tick in TICKS_S if tick / end_s * width >= TICK_WIDTH), TICKS_S[-1])
    line = ""
    for mark_s in range(0, math.ceil(end_s), tick_s):
        at = round(mark_s / end_s * width)
        text = clock(float(mark_s)).partition(".")[0]
        if at >= len(line) and at + len(text) <= width:
            line = line.ljust(at) + text
    return line
