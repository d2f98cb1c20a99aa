"""Surgery on a TOML text: values replaced, keys and entries added and taken away, all else left as it is.

Knows text and places only. Every operation speaks of the text as it was; `result` carries them all out.
"""

from __future__ import annotations

import re

from .positions import Spot, part_of_key, spots
from .trouble import Path, quoted_key

_REST = re.compile(r"[ \t]*(#[^\r\n]*)?(?=\r?\n|\Z)")  # of a line: nothing, or a comment
_COMMA = re.compile(r"(?:\s|#[^\n]*)*,")
_REMARK = re.compile(r"[ \t]*,?[ \t]*(#[^\r\n]*)")


class Splice:
    """Operations gathered on one text."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.spots = spots(text)
        self._newline = "\r\n" if "\r\n" in text else "\n"
        self._cuts: list[tuple[int, int]] = []
        # By place; there, new lines of a table (rank 0) stand before a new table (1) and before a name (2).
        self._puts: dict[tuple[int, int], str] = {}

    def result(self) -> str:
        """The text with every operation carried out."""
        parts, at, puts = [], 0, sorted(self._puts.items())
        for start, end in [*self._merged_cuts(), (len(self.text), len(self.text))]:
            while puts and puts[0][0][0] <= start:
                (place, _), new = puts.pop(0)
                parts += [self.text[at:place], new]
                at = max(at, place)
            parts.append(self.text[at:start])
            at = end
        return "".join(parts)

    def replace(self, path: Path, new: str) -> None:
        """Another value for a key."""
        spot = self.spots[path]
        self._cut(spot.value_start, spot.value_end)
        self._put(spot.value_start, new)

    def rename(self, path: Path, new: str) -> None:
        """Another last part for the path of a table, wherever a header or a key names it."""
        for inner, spot in self._under(path):
            if spot.form in ("implied", "item") or self._within_value(inner, path):
                continue
            is_header = spot.form != "pair"
            named = [
                one for one in path[0 if is_header else self._known_depth(inner) :] if isinstance(one, str)
            ]
            if named:
                at = spot.start + (("table", "tables").index(spot.form) + 1 if is_header else 0)
                start, end = part_of_key(self.text, at, len(named) - 1)
                self._cut(start, end)
                self._put(start, quoted_key(new), rank=2)

    def is_inline(self, path: Path) -> bool:
        """Whether a table or list is a value in braces or brackets."""
        return path in self.spots and self.spots[path].form in ("pair", "item")

    def remove(self, path: Path, *, remarks: bool = False) -> None:
        """Takes away a key, table or entry of any form; with `remarks` the comments above it too."""
        for inner, spot in self._under(path):
            if spot.form in ("table", "tables"):
                start = self._remarks_start(spot.start) if remarks else self._line_start(spot.start)
                self._cut_lines(start, self._line_end(spot.value_end))
            elif spot.form in ("pair", "item") and not self._within_value(inner, path):
                self._cut_member(spot, in_braces=self._within_value(inner, ()))

    def entry_text(self, path: Path) -> str:
        """An entry as it stands, with the comments that belong to it."""
        spot = self.spots[path]
        if spot.form == "item":
            remark = _REMARK.match(self.text, spot.value_end)
            entry = self.text[spot.value_start : spot.value_end]
            return f"{entry},  {remark[1]}" if remark else f"{entry},"
        return self.text[self._remarks_start(spot.start) : self._line_end(self._end(path))]

    def add_pair(self, path: Path, earlier: list[str], key: str, value: str) -> None:
        """A key for the table at `path`, behind the last of the `earlier` ones that it has."""
        there = [one for name in earlier if (one := self.spots.get((*path, name))) and one.form == "pair"]
        if self.is_inline(path):
            self._add_member(path, there, f"{quoted_key(key)} = {value}")
            return
        spot = self.spots.get(path)
        if not there and spot is not None and spot.form in ("table", "tables"):
            line = f"{self._indent(spot.start)}{quoted_key(key)} = {value}"
            self._put_line(self._line_end(spot.value_start), line)
            return
        near = (there or self._own_pairs(path))[-1:]
        if near:
            dotted = ".".join(quoted_key(str(part)) for part in (*path[self._header_depth(path) :], key))
            line = f"{self._indent(near[0].start)}{dotted} = {value}"
            self._put_line(self._line_end(near[0].value_end), line)
        else:
            header = ".".join(quoted_key(str(part)) for part in path)
            self.add_block(f"[{header}]\n{quoted_key(key)} = {value}\n")

    def has_pairs(self, path: Path) -> bool:
        """Whether the table at `path` holds its members as pairs, in braces or dotted, not under headers."""
        return self.is_inline(path) or bool(self._own_pairs(path))

    def add_block(
        self, block: str, after: Path | None = None, before: Path | None = None, tight: bool = False
    ) -> None:
        """A table with its header: behind or before another one, or last in the document."""
        gap = "" if tight else "\n"
        block = block if block.endswith("\n") else block + "\n"
        if before is not None:
            at = self._remarks_start(self.spots[before].start)
            has_blank = at > 0 and self._follows_blank(at) and not tight
            at = self._line_start(at - 1) if has_blank else at
            self._put(at, self._lines(gap + block if has_blank else block + gap), rank=1)
            return
        at = len(self.text) if after is None else self._line_end(self._end(after))
        ends_open = at > 0 and self.text[at - 1] != "\n"
        self._put(at, self._lines(("\n" if ends_open else "") + gap + block), rank=1)

    def is_tight(self, path: Path) -> bool:
        """Whether a table's header follows the line above it without a blank one."""
        return not self._follows_blank(self._remarks_start(self.spots[path].start))

    def add_entries(self, path: Path, after: int | None, entries: list[str]) -> None:
        """Entries, each with its comma, for an array in brackets: behind its entry `after`, or first."""
        spot = self.spots[path]
        if after is None:
            at, comma = spot.value_start + 1, ""
        else:
            end = self.spots[(*path, after)].value_end
            found = _COMMA.match(self.text, end)
            at, comma = (found.end(), "") if found else (end, ",")
        rest = _REST.match(self.text, at)
        if rest is not None and "\n" in self.text[spot.value_start : spot.value_end]:
            indent = self._indent(self.spots[(*path, after or 0)].start) if (*path, 0) in self.spots else "  "
            self._put(at, comma)
            self._put(rest.end(), self._lines("".join(f"\n{indent}{entry}" for entry in entries)))
        elif (*path, 0) in self.spots:
            self._put(at, comma + "".join(f" {entry}" for entry in entries))
        else:
            body = "".join(f"  {entry}\n" for entry in entries)
            self._cut(spot.value_start, spot.value_end)
            self._put(spot.value_start, self._lines(f"[\n{body}]"))

    def _add_member(self, path: Path, there: list[Spot], pair: str) -> None:
        """One more pair between braces."""
        spot = self.spots[path]
        members = [one for inner, one in self._under(path) if len(inner) > len(path)]
        if there or members:
            self._put(max(one.value_end for one in there or members), f", {pair}")
        else:
            self._put(spot.value_start + 1, f" {pair} ")

    def _cut_member(self, spot: Spot, *, in_braces: bool) -> None:
        """A pair or an array's entry: whole lines where it stands alone on them, else it and one comma."""
        comma = _COMMA.match(self.text, spot.value_end) if in_braces or spot.form == "item" else None
        end = comma.end() if comma else spot.value_end
        start = self._line_start(spot.start)
        if not self.text[start : spot.start].strip() and _REST.match(self.text, end):
            self._cut(start, self._line_end(end))
        elif comma:
            self._cut(spot.start, end + len(self.text[end:]) - len(self.text[end:].lstrip(" \t")))
        else:
            before = self.text[: spot.start].rstrip()
            last_pair = in_braces and spot.form == "pair" and before.endswith(",")  # no comma may stay behind
            self._cut(len(before) - 1 if last_pair else spot.start, end)

    def _under(self, path: Path) -> list[tuple[Path, Spot]]:
        return [(inner, spot) for inner, spot in self.spots.items() if inner[: len(path)] == path]

    def _own_pairs(self, path: Path) -> list[Spot]:
        """Pairs of the table at `path`, dotted ones too, that stand under its header or one further out."""
        return [
            spot
            for inner, spot in self._under(path)
            if spot.form == "pair"
            and inner != path
            and not self._within_value(inner, path)
            and self._header_depth(inner) <= len(path)
        ]

    def _header_depth(self, path: Path) -> int:
        """How much of a path the header names that it stands under."""
        above = (path[:depth] for depth in range(len(path), 0, -1))
        forms = ("table", "tables")
        return next((len(one) for one in above if one in self.spots and self.spots[one].form in forms), 0)

    def _known_depth(self, path: Path) -> int:
        """How much of a pair's path is said before its key: by the braces around it, or by its header."""
        around = (depth for depth in range(len(path) - 1, 0, -1) if self.is_inline(path[:depth]))
        return next(around, self._header_depth(path))

    def _within_value(self, path: Path, outer: Path) -> bool:
        """Whether something between `outer` and `path` is a value in braces or brackets."""
        return any(self.is_inline(path[:depth]) for depth in range(max(1, len(outer)), len(path)))

    def _end(self, path: Path) -> int:
        return max(spot.value_end for _, spot in self._under(path))

    def _line_start(self, at: int) -> int:
        return self.text.rfind("\n", 0, at) + 1

    def _line_end(self, at: int) -> int:
        """Behind the line's end."""
        found = self.text.find("\n", at)
        return len(self.text) if found < 0 else found + 1

    def _remarks_start(self, at: int) -> int:
        """The start of the comments that stand right above a line."""
        start = self._line_start(at)
        while start and self.text[self._line_start(start - 1) : start].lstrip().startswith("#"):
            start = self._line_start(start - 1)
        return start

    def _indent(self, at: int) -> str:
        start = self._line_start(at)
        line = self.text[start:at]
        return line[: len(line) - len(line.lstrip())]

    def _follows_blank(self, start: int) -> bool:
        return not self.text[self._line_start(start - 1) : start].strip() if start else True

    def _cut_lines(self, start: int, end: int) -> None:
        """Whole lines, and the blank one before them where another stands behind."""
        following = self._line_end(end)
        if start and self._follows_blank(start) and not self.text[end:following].strip():
            start = self._line_start(start - 1)
        self._cut(start, end)

    def _put_line(self, at: int, line: str) -> None:
        ends_open = at > 0 and self.text[at - 1] != "\n"
        self._put(at, self._lines(f"\n{line}" if ends_open else f"{line}\n"))

    def _lines(self, new: str) -> str:
        return new if self._newline == "\n" else re.sub(r"(?<!\r)\n", self._newline, new)

    def _cut(self, start: int, end: int) -> None:
        self._cuts.append((start, end))

    def _put(self, at: int, new: str, rank: int = 0) -> None:
        self._puts[at, rank] = self._puts.get((at, rank), "") + new

    def _merged_cuts(self) -> list[tuple[int, int]]:
        merged: list[tuple[int, int]] = []
        for start, end in sorted(self._cuts):
            if merged and start < merged[-1][1]:
                merged[-1] = (merged[-1][0], max(end, merged[-1][1]))
            else:
                merged.append((start, end))
        return merged
