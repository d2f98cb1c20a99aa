"""A part of a song to be rendered by itself: where it may begin, and what is scheduled in it."""

from __future__ import annotations

from dataclasses import replace

from arsis.audio import Span

from .joins import fade_window
from .schedule import Fade, Hold, Schedule

# A render begins at a multiple of this: the limiter judges so many frames together, and then the same ones
# wherever it began.
GRID = 128


def begin_before(plan: Schedule, frame: int, rate_hz: int) -> int:
    """The last frame at or before `frame` at which a render may begin: outside every fade, and before
    all sound on which the law of a later one is measured."""
    at = max(0, frame) // GRID * GRID
    for fade in reversed(plan.fades):
        window = fade_window(fade.span, rate_hz, plan.frames)
        if fade.span.end > at > window.start:
            at = window.start // GRID * GRID
    return at


def part(plan: Schedule, begin: int, end: int) -> Schedule:
    """What is scheduled in [begin, end) of a song, and the rest of the fade that is under way at its end.

    begin: as `begin_before` gives it.
    """
    return replace(
        plan,
        stretches=tuple(
            replace(stretch, span=stretch.span.clip(begin, end)) if isinstance(stretch, Hold) else stretch
            for stretch in plan.stretches
            if _touches(stretch, begin, end)
        ),
    )


def _touches(stretch: Hold | Fade, begin: int, end: int) -> bool:
    span: Span = stretch.span
    return span.start < end and (span.end > begin or span.start > begin)
