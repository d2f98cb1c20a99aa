"""Where everything stands in a TOML text, so that a fault can name its line and an edit its place.

Runs only on a text that tomllib has accepted, so it need not judge the grammar (TOML 1.0, toml.io).
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from typing import Literal

from .trouble import Path

_BLANK = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_KEY = re.compile(r"""[ \t]*(?P<key>[A-Za-z0-9_-]+|"(?:[^"\\]|\\.)*"|'[^']*')[ \t]*""")
_SCALAR = re.compile(
    r'"""(?:[^\\]|\\.)*?"{3,5}'  # up to two quotes may stand before the closing three
    r"|'''.*?'{3,5}"
    r'|"(?:[^"\\]|\\.)*"'
    r"|'[^']*'"
    r"|[^,\]}#\r\n]*[^,\]}#\s]",  # numbers, words, dates (which may hold a space)
    re.DOTALL,
)


@dataclass(frozen=True, slots=True)
class Spot:
    """Where one thing stands, in characters from the start of the text.

    form: ``pair`` key = value; ``item`` of an array; ``table`` [header]; ``tables`` [[header]];
    ``implied`` a table that only its members' dotted keys name.
    start: its key, header or value; key_start: the last part of a dotted key.
    value_start, value_end: the value; for a header, from its end to the end of its last pair.
    """

    form: Literal["pair", "item", "table", "tables", "implied"]
    start: int
    key_start: int
    value_start: int
    value_end: int


def spots(text: str) -> dict[Path, Spot]:
    """The spot of every table, key and array entry."""
    scan = _Scan(text)
    scan.document()
    return scan.spots


def line_of(text: str, places: dict[Path, Spot], path: Path) -> int:
    """The line of a path, or of the nearest table around it; 0 for the document as a whole."""
    while path and path not in places:
        path = path[:-1]
    return text.count("\n", 0, places[path].start) + 1 if path else 0


def part_of_key(text: str, at: int, place: int) -> tuple[int, int]:
    """From where to where one part of the dotted key stands that begins at `at`; parts count from 0."""
    found = _KEY.match(text, at)
    for _ in range(place):
        found = _KEY.match(text, found.end() + 1) if found else None
    assert found is not None, "tomllib accepted this text"
    return found.span("key")


class _Scan:
    """One walk over a text; each method takes an offset and returns the offset after what it read."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.spots: dict[Path, Spot] = {}
        self._entries: dict[Path, int] = {}

    def document(self) -> None:
        table: Path = ()
        end, at = 0, self._blank(0)
        while at < len(self.text):
            if self.text[at] == "[":
                self._close(table, end)
                table, end = self._header(at)
            else:
                end = self._pair(at, table)
            at = self._blank(end)
        self._close(table, end)

    def _close(self, path: Path, end: int) -> None:
        """The value at `path` ends there."""
        if path:
            spot = self.spots[path]
            self.spots[path] = Spot(spot.form, spot.start, spot.key_start, spot.value_start, end)

    def _blank(self, at: int) -> int:
        found = _BLANK.match(self.text, at)
        return found.end() if found else at

    def _header(self, at: int) -> tuple[Path, int]:
        brackets = 2 if self.text.startswith("[[", at) else 1
        keys, starts, end = self._keys(at + brackets)
        end += brackets
        path = (*self._resolve(keys[:-1]), keys[-1])
        self._imply(path, at)
        if brackets == 2:
            self._entries[path] = self._entries.get(path, 0) + 1
            self.spots.setdefault(path, Spot("implied", at, at, end, end))
            path += (self._entries[path] - 1,)
        self.spots[path] = Spot("tables" if brackets == 2 else "table", at, starts[-1], end, end)
        return path, end

    def _resolve(self, keys: list[str]) -> Path:
        """A header's path: an array of tables on the way means its latest entry."""
        path: Path = ()
        for key in keys:
            path += (key,)
            if path in self._entries:
                path += (self._entries[path] - 1,)
        return path

    def _imply(self, path: Path, at: int) -> None:
        """Tables on the way to `path` that nothing has named yet stand where it stands."""
        for depth in range(1, len(path)):
            self.spots.setdefault(path[:depth], Spot("implied", at, at, at, at))

    def _keys(self, at: int) -> tuple[list[str], list[int], int]:
        """A dotted key: its parts, where each starts, and where the whole ends."""
        keys, starts = [], []
        while True:
            found = _KEY.match(self.text, at)
            assert found is not None, "tomllib accepted this text"
            keys.append(_unquoted(found["key"]))
            starts.append(found.start("key"))
            if not self.text.startswith(".", found.end()):
                return keys, starts, found.end()
            at = found.end() + 1

    def _pair(self, at: int, table: Path) -> int:
        keys, starts, equals = self._keys(at)
        path = table + tuple(keys)
        self._imply(path, starts[0])
        value = self._blank(equals + 1)
        self.spots[path] = Spot("pair", starts[0], starts[-1], value, value)
        return self._value(value, path)

    def _value(self, at: int, path: Path) -> int:
        if self.text[at] == "[":
            end = self._array(at, path)
        elif self.text[at] == "{":
            end = self._inline(at, path)
        else:
            found = _SCALAR.match(self.text, at)
            assert found is not None, "tomllib accepted this text"
            end = found.end()
        self._close(path, end)
        return end

    def _array(self, at: int, path: Path) -> int:
        at, entry = self._blank(at + 1), 0
        while self.text[at] != "]":
            self.spots[(*path, entry)] = Spot("item", at, at, at, at)
            at = self._blank(self._value(at, (*path, entry)))
            at = self._blank(at + 1) if self.text[at] == "," else at
            entry += 1
        return at + 1

    def _inline(self, at: int, path: Path) -> int:
        at = self._blank(at + 1)
        while self.text[at] != "}":
            at = self._blank(self._pair(at, path))
            at = self._blank(at + 1) if self.text[at] == "," else at
        return at + 1


def _unquoted(key: str) -> str:
    if key[0] == "'":
        return key[1:-1]
    return str(tomllib.loads(f"x = {key}")["x"]) if key[0] == '"' else key
