"""Which entry of an old list is which of a new one, so that a change is seen as a change."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Callable, Hashable, Sequence
from typing import TypeVar

from arsis.settings import Processor

Entry = TypeVar("Entry")

# Two processors of one kind further apart than this are two processors, not one that was moved.
_FAR_OCTAVES = 2.0


def same_by_key(
    old: Sequence[Entry], new: Sequence[Entry], key: Callable[[Entry], Hashable]
) -> tuple[int | None, ...]:
    """The old place of every new entry, by its key; an unknown one beside a known one renames."""
    places = {key(entry): place for place, entry in enumerate(old)}
    same: list[int | None] = [places.get(key(entry)) for entry in new]
    taken = {place for place in same if place is not None}
    for place, old_place in enumerate(same):
        if old_place is None:
            before = same[place - 1] if place else -1
            follower = None if before is None else before + 1
            if follower is not None and follower < len(old) and follower not in taken:
                same[place] = follower
                taken.add(follower)
    return tuple(same)


def same_processors(old: Sequence[Processor], new: Sequence[Processor]) -> tuple[int | None, ...]:
    """For every new processor the place of the old one that it is, or was made from; closest first."""
    pairs = [
        (*distance, abs(i - j), i, j)
        for i, before in enumerate(old)
        for j, after in enumerate(new)
        if (distance := _distance(before, after)) is not None
    ]
    same: list[int | None] = [None] * len(new)
    taken: set[int] = set()
    for *_, i, j in sorted(pairs):
        if i not in taken and same[j] is None:
            same[j] = i
            taken.add(i)
    return tuple(same)


def kept_in_order(same: Sequence[int | None]) -> frozenset[int]:
    """New places whose old ones form the longest rising row: these stay, the others have moved.

    C. Schensted, "Longest increasing and decreasing subsequences", Canadian Journal of Mathematics 13
    (1961), in its well-known form: the smallest end of a row of every length (from memory).
    """
    ends: list[int] = []  # old place that ends the best row of each length
    at: list[int] = []  # and the new place it stands at
    before: dict[int, int] = {}
    for place, old in enumerate(same):
        if old is not None:
            length = bisect_left(ends, old)
            ends[length:], at[length:] = [old, *ends[length + 1 :]], [place, *at[length + 1 :]]
            if length:
                before[place] = at[length - 1]
    kept = at[-1:]
    while kept and kept[-1] in before:
        kept.append(before[kept[-1]])
    return frozenset(kept)


def _distance(before: Processor, after: Processor) -> tuple[int, float] | None:
    """How unlike two processors are; None where they are not the same at all."""
    if type(before) is not type(after):
        return None
    if before == after:
        return (0, 0.0)
    old_hz, new_hz = getattr(before, "freq_hz", 1.0), getattr(after, "freq_hz", 1.0)
    octaves = abs(math.log2(new_hz / old_hz))
    return (1, octaves) if octaves <= _FAR_OCTAVES else None
