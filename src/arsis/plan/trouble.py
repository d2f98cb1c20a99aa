"""What is wrong in a table, before it is known on which line of which file."""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any, TypeAlias

# Keys and places in lists, counted from 0.
Path: TypeAlias = tuple[str | int, ...]

_LONGEST = 60  # of a text quoted in a message


@dataclass(frozen=True, slots=True)
class Trouble:
    """One thing wrong in a table: where, what was found, what is allowed."""

    path: Path
    found: str
    allowed: str


def key_path(path: Path) -> str:
    """A path as a person counts: ``section[3].ride_db`` belongs to the third section."""
    parts = [f"[{part + 1}]" if isinstance(part, int) else f".{quoted_key(part)}" for part in path]
    return "".join(parts).removeprefix(".")


def quoted_key(key: str) -> str:
    """A key as TOML has it, in quotes where it needs them."""
    return key if is_bare(key) else quoted(key)


def is_bare(key: str) -> bool:
    """Whether a key needs no quotes in TOML."""
    return key != "" and all(c.isascii() and (c.isalnum() or c in "-_") for c in key)


def quoted(text: str) -> str:
    """A basic string of TOML."""
    return f'"{"".join(map(_escaped, text))}"'


def shown(value: Any) -> str:
    """A value as the document has it, short enough for a message."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return quoted(value if len(value) <= _LONGEST else value[: _LONGEST - 1] + "…")
    if isinstance(value, (int, float)):
        return str(value)
    if isinstance(value, dict):
        return "a table"
    return f"a {type(value).__name__}"


def meant(word: object, known: list[str] | tuple[str, ...]) -> str:
    """`did you mean "…"? ` where a known word is close; empty otherwise."""
    close = get_close_matches(word, known, 1) if isinstance(word, str) else []
    return f"did you mean {quoted(close[0])}? " if close else ""


def _escaped(character: str) -> str:
    if character in _ESCAPES:
        return _ESCAPES[character]
    is_control = character < " " or character == "\x7f"
    return f"\\u{ord(character):04x}" if is_control else character


_ESCAPES = {'"': '\\"', "\\": "\\\\", "\n": "\\n", "\t": "\\t", "\r": "\\r", "\b": "\\b", "\f": "\\f"}
