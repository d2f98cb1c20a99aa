"""The contour: each section a plateau as high as it is loud; the mix an outline, the print filled.

On each riser stands the step into the section as it arrived, with what was asked and what the limiter took.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from arsis.measure.loudness import HOPS_PER_SECOND, momentary_lufs
from arsis.render.contour import Contour, SectionShape

from .patterns import pattern_id
from .svg import Frame, Scale, figure, level_axis, line, linear, path, rect, tag, time_axis, words
from .text import change, number

FRAME = Frame(1_080, 350, top=52, bottom=58)
# Quieter than this is drawn at the bottom.
_FLOOR_LUFS = -60.0
# What a line under a step takes, a step, and a step in small figures; in narrower sections the table alone
# has it.
_UNDER_WIDTH, _WIDE, _STEP_WIDTH = 62.0, 38.0, 22.0


def contour_figure(contour: Contour) -> str:
    """The whole song, wide."""
    sections = contour.sections
    x = linear((0.0, sections[-1].end_s), FRAME.x)
    breath = momentary_lufs(contour.print_energies)[::20]
    low, high = _range(sections, breath)
    y = linear((low, high), FRAME.y)
    passes = list(dict.fromkeys(section.pass_ for section in sections))
    parts = level_axis(FRAME, y, np.arange(math.ceil(low), high, 3.0 if high - low < 18 else 6.0), "LUFS")
    parts += [_plateau(section, x, y, passes) for section in sections]
    parts += [_inside(breath, x, y, low), _outline(sections, x, y)]
    parts += [_riser(section, x) for section in sections[1:]]
    parts += [_names(section, x, passes) for section in sections]
    parts += time_axis(Frame(FRAME.width, FRAME.height, bottom=24), x, sections[-1].end_s)
    return figure(FRAME, "contour of the song: loudness of each section in mix and print", parts)


def _range(sections: Sequence[SectionShape], breath: NDArray[np.float64]) -> tuple[float, float]:
    """From well under the quietest section to over the loudest moment, so that no curve meets a step."""
    levels = [
        max(level, _FLOOR_LUFS)
        for section in sections
        for level in (section.mix.loudness_lufs, section.print.loudness_lufs)
    ]
    low, high = min(levels), max(levels)
    loudest = float(breath.max()) if breath.size else high
    return low - max(3.0, 0.35 * (high - low)), max(high + 1.5, loudest)


def _level(value: float) -> float:
    return max(value, _FLOOR_LUFS) if math.isfinite(value) else _FLOOR_LUFS


def _plateau(section: SectionShape, x: Scale, y: Scale, passes: Sequence[str]) -> str:
    left, right = x(section.start_s), x(section.end_s)
    top, base = y(_level(section.print.loudness_lufs)), FRAME.y[0]
    shape = rect(left, top, right - left, base - top, "print-fill")
    pattern = pattern_id(section.pass_, passes)
    if pattern:
        shape += tag(
            "rect", x=left, y=top, width=right - left, height=max(base - top, 0.0), fill=f"url(#{pattern})"
        )
    return shape + line(left, top, right, top, "print-edge")


def _outline(sections: Sequence[SectionShape], x: Scale, y: Scale) -> str:
    points = [
        (x(at_s), y(_level(section.mix.loudness_lufs)))
        for section in sections
        for at_s in (section.start_s, section.end_s)
    ]
    return path(points, "mix-line")


def _inside(curve: NDArray[np.float64], x: Scale, y: Scale, low: float) -> str:
    """Momentary loudness of the print inside its plateaus: where the song breathes."""
    at_s = (np.arange(curve.size) * 20 + 20) / HOPS_PER_SECOND
    points = [(x(float(t)), y(max(low, _level(float(v))))) for t, v in zip(at_s, curve, strict=True)]
    return path(points, "breath")


def _riser(section: SectionShape, x: Scale) -> str:
    """The step into a section in a lane of its own over the plateaus, where no curve crosses it."""
    at = x(section.start_s)
    width = x(section.end_s) - at
    parts = [line(at, FRAME.y[0], at, 4, "riser")]
    if width > _STEP_WIDTH:
        look = "step" if width > _WIDE else "step narrow"
        parts.append(words(change(section.step_print_lu), at + (4 if width > _WIDE else 1), 15, look))
    under = []
    if section.step_asked_db:
        under.append(f"asked {change(section.step_asked_db)}")
    if section.took.step_db is not None and abs(section.took.step_db) >= 0.05:
        under.append(f"took {number(section.took.step_db)}")
    if width > _UNDER_WIDTH:
        parts += [words(text, at + 4, 28 + 12 * i, "asked") for i, text in enumerate(under)]
    return "".join(parts)


def _names(section: SectionShape, x: Scale, passes: Sequence[str]) -> str:
    middle = (x(section.start_s) + x(section.end_s)) / 2
    base = FRAME.y[0]
    width = x(section.end_s) - x(section.start_s)
    name = section.name if 6.2 * len(section.name) < width else ""
    letter = section.pass_ if len(passes) > 1 and 8.0 * len(section.pass_) < width else ""
    return words(name, middle, base + 14, "name", "middle") + words(
        letter, middle, base - 6, "letter", "middle"
    )
