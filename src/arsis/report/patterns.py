"""A pattern and a letter for each pass, so that nothing rests on colour alone."""

from __future__ import annotations

from collections.abc import Sequence

from .svg import tag

# Drawn over the print's fill: nothing for the first pass, then lines, dots, crossed lines, steeper lines.
_MARKS = (
    "",
    '<path d="M0 8L8 0" class="mark"/>',
    '<circle cx="4" cy="4" r="1.3" class="dot"/>',
    '<path d="M0 8L8 0M0 0L8 8" class="mark"/>',
    '<path d="M4 0V8" class="mark"/>',
    '<path d="M0 4H8" class="mark"/>',
)


def pattern_id(pass_name: str, passes: Sequence[str]) -> str | None:
    """The id of a pass's pattern, None for the first pass, which is plain."""
    index = passes.index(pass_name) % len(_MARKS)
    return f"pattern-{index}" if index else None


def definitions() -> str:
    """The patterns, once a page."""
    patterns = "".join(
        tag("pattern", mark, id=f"pattern-{i}", width=8, height=8, patternUnits="userSpaceOnUse")
        for i, mark in enumerate(_MARKS)
        if mark
    )
    return f'<svg width="0" height="0" aria-hidden="true"><defs>{patterns}</defs></svg>'
