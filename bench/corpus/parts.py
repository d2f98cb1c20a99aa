"""What many of the corpus' scores share: words for a tune, a section once more, and common patterns."""

from __future__ import annotations

from dataclasses import replace
from itertools import cycle

from arsis.demo.score import Part

CRASH = {"crash": "x............... ................ ................ ................"}
BEAT = "X...X...X...X..."
BACKBEAT = "....X.......X..."
OFFBEAT = "..x...x...x...x."
EIGHTHS = "x.x.x.x.x.x.x.x."
WHOLE = "x==============="
REST = "................"


def sing(notes: str, words: str) -> str:
    """A sung line from notes (``E4:1``, ``-:1`` for a rest) and syllables, taken in turn."""
    syllables = cycle(words.split())
    return " ".join(note if note.startswith("-") else f"{note}:{next(syllables)}" for note in notes.split())


def again(part: Part, name: str, **lanes: str) -> Part:
    """The section once more, with lanes added or changed."""
    return replace(part, name=name, lanes={**part.lanes, **lanes})
