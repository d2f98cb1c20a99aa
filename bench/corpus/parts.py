"""What many of the corpus' scores share: words for a tune, and the marks of a new section."""

from __future__ import annotations

from itertools import cycle

CRASH = {"crash": "x............... ................ ................ ................"}
BEAT = "X...X...X...X..."
BACKBEAT = "....X.......X..."
WHOLE = "x==============="
REST = "................"


def sing(notes: str, words: str) -> str:
    """A sung line from notes (``E4:1``, ``-:1`` for a rest) and syllables, taken in turn."""
    syllables = cycle(words.split())
    return " ".join(note if note.startswith("-") else f"{note}:{next(syllables)}" for note in notes.split())
