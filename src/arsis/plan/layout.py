"""Fresh documents, laid out to be read by hand; and how single values are written."""

from __future__ import annotations

from typing import Any

from .model import Release, Song
from .table import Table, as_table
from .trouble import quoted, quoted_key

# Places in the song: six decimals are exact to the frame up to 192 kHz, and columns line up.
_PLACES = ("start_s", "time_s", "from_s", "until_s")
# Left out where they say what everyone expects; other numbers that make the sound are always written.
_USUAL: Table = {
    "channel": "stereo",
    "phase": "minimum",
    "bypass": False,
    "mix": 1.0,
    "dither": "flat",
    "share_limiter": False,
    "ride_db": 0.0,
    "note": "",
    "artist": "",
    "catalogue_number": "",
    "date": "",
    "copyright": "",
    "side": "",
    "from_s": 0.0,
    "fade_in_s": 0.0,
    "fade_out_s": 0.0,
    "overlap_s": 0.0,
    "version": [],
    "print": [],
}
_BUTTERWORTH_Q = 0.7071067811865476  # sixteen digits of it tell a reader nothing


def song_to_toml(song: Song) -> str:
    """A new plan."""
    table = as_table(song)
    head = {key: table[key] for key in ("schema", "title", "mix", "mix_sha256")}
    blocks = [pairs(head)]
    blocks += [entry_block("version", one) for one in table["version"]]
    blocks += [entry_block("section", one) for one in table["section"]]
    blocks += [table_block(("pass", name), one) for name, one in table["pass"].items()]
    blocks += ["".join(entry_block("ride", one) for one in table["ride"])] if song.ride else []
    blocks += [table_block(("finish",), table["finish"])]
    return "\n".join(blocks)


def release_to_toml(release: Release) -> str:
    """A new release document."""
    table = as_table(release)
    songs = [entry_block("song", one) for one in table.pop("song")]
    return "\n".join([pairs(table), *songs])


def entry_block(name: str, table: Table) -> str:
    """One `[[name]]` with its pairs."""
    return f"[[{name}]]\n{pairs(table)}"


def table_block(path: tuple[str, ...], table: Table) -> str:
    """One `[path]` with its pairs."""
    return f"[{'.'.join(map(quoted_key, path))}]\n{pairs(table)}"


def pairs(table: Table) -> str:
    """A line for each key that has something to say."""
    return "".join(f"{quoted_key(key)} = {value(key, one)}\n" for key, one in said(table).items())


def said(table: Table) -> Table:
    """A table without what need not be written."""
    kept = {key: one for key, one in table.items() if one is not None and one != _USUAL.get(key)}
    if "print" in kept:
        kept.pop("chain", None)
    if table.get("kind") in ("high_pass", "low_pass") and table.get("q") == _BUTTERWORTH_Q:
        kept.pop("q")
    return kept


def value(key: str, one: Any) -> str:
    """A value as TOML has it."""
    if isinstance(one, bool):
        return "true" if one else "false"
    if isinstance(one, str):
        return quoted(one)
    if isinstance(one, float):
        return f"{one:.6f}" if key in _PLACES else repr(one)
    if isinstance(one, dict):
        return inline(one)
    if isinstance(one, list):
        return "[\n" + "".join(f"  {inline(entry)},\n" for entry in one) + "]" if one else "[]"
    return str(one)


def inline(table: Table) -> str:
    """A table on one line."""
    inner = ", ".join(f"{quoted_key(key)} = {value(key, one)}" for key, one in said(table).items())
    return f"{{ {inner} }}" if inner else "{}"
