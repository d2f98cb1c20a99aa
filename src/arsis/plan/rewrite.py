"""A changed plan written into the text it came from: what has not changed stays, comments and layout too."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from .codec import parse_release, parse_song, release_from_table, song_from_table
from .layout import entry_block, inline, release_to_toml, song_to_toml, table_block, value
from .matching import kept_in_order, same_by_key, same_processors
from .model import Release, Song
from .splice import Splice
from .table import Table, as_table, processor_from_table
from .trouble import Path, quoted_key

# What an entry of each list is known by.
_KNOWN_BY = {"version": "name", "section": "name", "ride": "time_s", "song": "plan", "print": "pass"}
_PLACES = ("start_s", "time_s")
_ROUNDS = 4  # entries that move and change take two


def rewrite(text: str, song: Song) -> str:
    """The plan's text with the song's decisions in it; raises DocumentError where the text is at fault.

    A text that cannot hold the song by small changes, one of an older schema, is written afresh.
    """
    return rewritten(text, parse_song(text), song_from_table(as_table(song), song.title))[0]


def rewritten(text: str, before: Song, song: Song) -> tuple[str, Song]:
    """The same for a text that holds `before`, and a sound song; gives back what it holds then, too."""
    for _ in range(_ROUNDS):
        if _alike(before, song):
            return text, before
        text = _written(text, as_table(before), as_table(song))
        before = parse_song(text)
    return (text, before) if _alike(before, song) else (fresh := song_to_toml(song), parse_song(fresh))


def rewrite_release(text: str, release: Release) -> str:
    """The same for a release's document."""
    before = parse_release(text)
    release_from_table(as_table(release), release.title)
    for _ in range(_ROUNDS):
        if before == release:
            return text
        text = _written(text, as_table(before), as_table(release))
        before = parse_release(text)
    return text if before == release else release_to_toml(release)


def _alike(before: Song, after: Song) -> bool:
    """Whether two songs are the same in writing, where times have six decimals."""
    return before == after or _rounded(as_table(before)) == _rounded(as_table(after))


def _rounded(table: Table) -> Table:
    for key in ("section", "ride"):
        for entry in table[key]:
            entry.update({place: round(entry[place], 6) for place in _PLACES if place in entry})
    return table


def _written(text: str, before: Table, after: Table) -> str:
    splice = Splice(text)
    _table(splice, (), before, after)
    return splice.result()


def _table(splice: Splice, path: Path, before: Table, after: Table) -> None:
    renamed = _renamed(before, after) if path == ("pass",) else {}
    for old_name, name in renamed.items():
        splice.rename((*path, old_name), name)
    for key, new in after.items():
        here, old = (*path, key), before.get(key)
        if (key in before and old == new) or key in renamed.values():
            continue
        if new is None:
            splice.remove(here)
        elif here not in splice.spots:
            _add(splice, path, list(after), key, new)
        elif isinstance(new, dict) and isinstance(old, dict):
            _table(splice, here, old, new)
        elif isinstance(new, list) and isinstance(old, list):
            _entries(splice, here, old, new)
        else:
            splice.replace(here, value(key, new))
    for key in before:
        if key not in after and key not in renamed:
            splice.remove((*path, key))


def _renamed(before: Table, after: Table) -> dict[str, str]:
    """Old and new names of the tables that have another name now and are the same otherwise."""
    names: dict[str, str] = {}
    for name, one in after.items():
        if name not in before:
            same = (old for old in before if old not in after and old not in names and before[old] == one)
            names |= {old: name for old in [next(same, None)] if old is not None}
    return names


def _add(splice: Splice, path: Path, keys: list[str], key: str, new: Any) -> None:
    """A key that the text does not have: a table of its own at the top, a pair further in."""
    if not path and isinstance(new, list):
        for entry in new:
            splice.add_block(entry_block(key, entry), tight=key == "ride" and entry is not new[0])
    elif isinstance(new, dict) and (not path or (path == ("pass",) and not splice.has_pairs(path))):
        splice.add_block(table_block((*map(str, path), key), new), after=path or None)
    else:
        splice.add_pair(path, keys[: keys.index(key)], key, value(key, new))


def _entries(splice: Splice, path: Path, before: list[Table], after: list[Table]) -> None:
    same = _same(str(path[-1]), before, after)
    kept = kept_in_order(same)
    staying = {same[place] for place in kept}
    moving = {old for old in same if old is not None} - staying
    for gone in set(range(len(before))) - staying:
        splice.remove((*path, gone), remarks=gone in moving)
    new_entries: dict[int | None, list[str]] = {}
    anchor: int | None = None
    for place, old in enumerate(same):
        if place in kept and old is not None:
            anchor = old
            _table(splice, (*path, old), before[old], after[place])
        else:
            # A moved entry goes as it stands; if it has changed too, that is the next round's work.
            text = _fresh(splice, path, after[place]) if old is None else splice.entry_text((*path, old))
            new_entries.setdefault(anchor, []).append(text)
    for behind, texts in new_entries.items():
        _insert(splice, path, behind, texts, len(before))


def _same(key: str, before: list[Table], after: list[Table]) -> Sequence[int | None]:
    if key == "chain":
        return same_processors(
            [processor_from_table(one) for one in before], [processor_from_table(one) for one in after]
        )
    return same_by_key(before, after, lambda one: one[_KNOWN_BY[key]])


def _fresh(splice: Splice, path: Path, entry: Table) -> str:
    if splice.is_inline(path):
        return f"{inline(entry)},"
    # A header names the list that its last entry holds: places in lists further out are not written.
    return entry_block(".".join(quoted_key(part) for part in path if isinstance(part, str)), entry)


def _insert(splice: Splice, path: Path, anchor: int | None, texts: list[str], count: int) -> None:
    if splice.is_inline(path):
        splice.add_entries(path, anchor, texts)
        return
    tight = count > 1 and splice.is_tight((*path, 1))
    for text in texts:
        if anchor is None:
            splice.add_block(text, before=(*path, 0), tight=tight)
        else:
            splice.add_block(text, after=(*path, anchor), tight=tight)
