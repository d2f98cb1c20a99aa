"""Where things stand in a TOML text, over texts made to be hard and over texts made up."""

from __future__ import annotations

import json
import tomllib
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from arsis.plan.codec import song_to_toml
from arsis.plan.model import Song
from arsis.plan.positions import line_of, spots
from arsis.plan.trouble import Path
from tests.plans_made import songs

HARD = '''# a comment with = and [brackets]
title = "x # not a comment" # one
"quoted key" = 'it''s'
"es\\"caped" = """
[not.a.header]
x = 1 \\""" still \\\\"""
literal = \'\'\'
[[nor.this]]
"""\'\'\'
five = """ends in two""\"""
dotted . "in parts" .here = { a = 1, b.c = [ 1, [ 2, { d = "}" } ] ], e = "]" }
when = 1979-05-27 07:32:00
hex = 0xDEAD_BEEF
lines = [
  1,   # one, with a ] and a "
  # nothing
  { z = 2 },

  3
]
[ table . sub ]	# a comment after a header
x = 1
[[list]]
a = 1
[[list.inner]]
b = 1
[[list.inner]]
b = 2
[list.inner.deep]
c = 3
[[list]]
[[list.inner]]
b = 3
[ "]" ]
odd = true'''.replace("it''s", "its")


def leaves(value: Any, path: Path = ()) -> list[tuple[Path, Any]]:
    """Every path of a document, with what it holds."""
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [(path, value), *(leaf for key, one in inner for leaf in leaves(one, (*path, key)))]


def check(text: str) -> None:
    """Every path has a spot, and the text at that spot is that key and that value."""
    found = spots(text)
    for path, value in leaves(tomllib.loads(text))[1:]:
        spot = found[path]
        if spot.form in ("pair", "item"):
            assert tomllib.loads(f"x = {text[spot.value_start : spot.value_end]}")["x"] == value
        if spot.form == "pair":
            key = text[spot.key_start : spot.value_start].rpartition("=")[0]
            assert list(tomllib.loads(f"{key} = 1")) == [path[-1]]
        if spot.form in ("table", "tables"):
            header = text[spot.start : spot.value_start]
            assert header.startswith("[[") == (spot.form == "tables")
            keys = [part for part in path if isinstance(part, str)]
            assert _deepest(tomllib.loads(header)) == keys
    assert set(found) == {path for path, _ in leaves(tomllib.loads(text))[1:]}


def _deepest(table: Any) -> list[str]:
    keys = []
    while table:
        if isinstance(table, list):
            table = table[0]
            continue
        [(key, table)] = table.items()
        keys.append(key)
    return keys


@pytest.mark.parametrize("newline", ["\n", "\r\n"])
def test_a_text_made_to_be_hard(newline: str) -> None:
    check(HARD.replace("\n", newline))


def test_lines_of_the_hard_text() -> None:
    lines = HARD.splitlines()
    places = spots(HARD)
    for path, line in (
        (("title",), 'title = "x'),
        (("literal",), "literal ="),
        (("dotted", "in parts", "here", "b", "c", 1, 1, "d"), "dotted"),
        (("lines", 1, "z"), "  { z = 2 },"),
        (("lines", 2), "  3"),
        (("table", "sub"), "[ table"),
        (("list", 0, "inner", 1, "b"), "b = 2"),
        (("list", 0, "inner", 1, "deep", "c"), "c = 3"),
        (("list", 1, "inner", 0, "b"), "b = 3"),
        (("]", "odd"), "odd"),
        (("list", 0, "inner", 1, "deep", "missing"), "[list.inner.deep]"),
    ):
        assert lines[line_of(HARD, places, path) - 1].startswith(line)
    assert line_of(HARD, places, ()) == line_of(HARD, places, ("nothing",)) == 0


KEYS = st.text(st.sampled_from(list("ab-_1 .\"'\\=#[]{},é\n")), max_size=4)
SCALARS = st.one_of(
    st.booleans(),
    st.integers(-99, 99),
    st.floats(-9, 9),
    st.text(st.sampled_from(list("ab\"'\\=#[]{},é \t")), max_size=6),
)
VALUES = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(KEYS, inner, max_size=3),
    max_leaves=8,
)
BLANKS = st.sampled_from(["", " ", "\t", '  # a, "comment" = [1]}\n', "\n", "\r\n"])


@st.composite
def toml(draw: st.DrawFn, value: Any) -> str:
    """A value written in one of the ways that TOML has for it."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        ways = [json.dumps(value, ensure_ascii=False)]
        ways += [f"'{value}'", f"'''\n{value}'''"] if "'" not in value else []
        ways += [f'"""{json.dumps(value)[1:-1]}"""', f'"""\n\\\n  {json.dumps(value)[1:-1]}\\\n """']
        way = draw(st.sampled_from(ways))
        return way if tomllib.loads(f"x = {way}")["x"] == value else ways[0]
    if isinstance(value, list):
        entries = [f"{draw(BLANKS)}{draw(toml(one))}{draw(BLANKS)}" for one in value]
        comma = draw(st.sampled_from(["", ","])) if entries else ""
        return f"[{','.join(entries)}{comma}{draw(BLANKS)}]"
    if isinstance(value, dict):
        pairs = [f" {key_text(key)} = {draw(toml(one))} " for key, one in value.items()]
        return f"{{{','.join(pairs)}}}"
    return repr(value)


def key_text(key: str) -> str:
    return json.dumps(key, ensure_ascii=False)


@st.composite
def documents(draw: st.DrawFn) -> str:
    """Pairs, then tables and lists of tables, with comments and blank lines in between."""
    parts = []
    for key, value in draw(st.dictionaries(KEYS, VALUES, max_size=4)).items():
        parts.append(f"{key_text('p' + key)} = {draw(toml(value))}{draw(st.sampled_from(['', ' # = [x]']))}")
    for key, tables in draw(
        st.dictionaries(KEYS, st.lists(st.dictionaries(KEYS, VALUES, max_size=3), min_size=1, max_size=3))
    ).items():
        for table in tables:
            header = f"[[{key_text('t' + key)}]]" if len(tables) > 1 else f"[ {key_text('h' + key)} ]"
            parts += ["# [comment]", header]
            parts += [f"  {key_text(name)} = {draw(toml(value))}" for name, value in table.items()]
    return draw(st.sampled_from(["\n", "\n\n"])).join(parts)


@given(documents())
@settings(derandomize=True, deadline=None, max_examples=200)
def test_texts_made_up(text: str) -> None:
    check(text)


@given(songs())
@settings(derandomize=True, deadline=None, max_examples=50)
def test_plans_made_up(song: Song) -> None:
    check(song_to_toml(song))
