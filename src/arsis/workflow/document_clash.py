"""Whether two changes of a plan are about the same thing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, TypeAlias

from arsis.plan.model import Song
from arsis.plan.table import Table, as_table

Keys: TypeAlias = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class Clash:
    """A change by hand met one from the page. told: what was changed by hand. by_hand: the text made so."""

    told: tuple[str, ...]
    by_hand: bytes


def clashing(one: tuple[Song, Song], other: tuple[Song, Song]) -> bool:
    """Whether two changes, each from a song to a song, touch a key in common."""
    mine, others = touched(*one), touched(*other)
    return any(a[: len(b)] == b[: len(a)] for a in mine for b in others)


def touched(before: Song, after: Song) -> frozenset[Keys]:
    """The keys whose values differ. Sections and versions go by their names; a drawn ride is one value."""
    return frozenset(_differing(_by_name(as_table(before)), _by_name(as_table(after)), ()))


def _by_name(table: Table) -> Table:
    named = {key: {one["name"]: one for one in table[key]} for key in ("section", "version")}
    return {**table, **named}


def _differing(before: Any, after: Any, path: Keys) -> Iterator[Keys]:
    if before == after:
        return
    if isinstance(before, dict) and isinstance(after, dict):
        for key in {**before, **after}:
            yield from _differing(before.get(key), after.get(key), (*path, key))
    elif "chain" in path and isinstance(before, list) and len(before) == len(after or ()):
        for place, (old, new) in enumerate(zip(before, after, strict=True)):
            yield from _differing(old, new, (*path, place))
    else:
        yield path
