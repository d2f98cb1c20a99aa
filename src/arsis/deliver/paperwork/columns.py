"""Plain text for sheets of one width: columns that line up whatever script a title is written in."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence

WIDTH = 100  # characters: a landscape page, and most windows, hold as many


def shown_width(text: str) -> int:
    """How many columns a text takes in a fixed-width face: two for wide characters, none for marks.

    Unicode Standard Annex #11, "East Asian Width": W and F are wide.
    """
    return sum(
        0 if unicodedata.combining(one) else 2 if unicodedata.east_asian_width(one) in "WF" else 1
        for one in text
    )


def padded(text: str, width: int, *, right: bool = False) -> str:
    """A text filled up with spaces to a width."""
    space = " " * max(0, width - shown_width(text))
    return space + text if right else text + space


def wrapped(text: str, width: int) -> list[str]:
    """A text on as many lines as it takes; one empty line for no text."""
    lines: list[str] = []
    for word in text.split():
        if lines and shown_width(lines[-1]) + 1 + shown_width(word) <= width:
            lines[-1] += f" {word}"
            continue
        while shown_width(word) > width:
            head = _head(word, width)
            lines.append(head)
            word = word[len(head) :]
        lines.append(word)
    return lines or [""]


def paragraph(text: str, indent: str = "", first: str | None = None) -> str:
    """Running text at the sheet's width. first: what the first line begins with, where it is another."""
    lines = wrapped(text, WIDTH - len(indent))
    begins = indent if first is None else first.ljust(len(indent))
    return "\n".join([begins + lines[0], *(indent + line for line in lines[1:])])


def grid(rows: Sequence[Sequence[str]], widths: Sequence[int], right: Sequence[bool]) -> str:
    """Rows of cells in columns two spaces apart; a cell that is too long goes on below itself."""
    return "\n".join(line for row in rows for line in _lines(row, widths, right))


def _lines(row: Sequence[str], widths: Sequence[int], right: Sequence[bool]) -> list[str]:
    cells = [wrapped(text, width) for text, width in zip(row, widths, strict=True)]
    return [
        "  ".join(
            padded(cell[i] if i < len(cell) else "", width, right=is_right)
            for cell, width, is_right in zip(cells, widths, right, strict=True)
        ).rstrip()
        for i in range(max(map(len, cells)))
    ]


def _head(word: str, width: int) -> str:
    """As much of a word as fits, at least one character."""
    taken = 1
    while taken < len(word) and shown_width(word[: taken + 1]) <= width:
        taken += 1
    return word[:taken]
