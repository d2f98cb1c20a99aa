"""A changed plan goes back into its own text: what has not changed stays to the letter."""

from __future__ import annotations

import difflib
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from arsis.errors import ArsisError, DocumentError
from arsis.plan import edit
from arsis.plan.codec import parse_release, parse_song, release_to_toml, song_from_table, song_to_toml
from arsis.plan.model import Join, Pass, Release, RidePoint, Song, Version, VersionPrint
from arsis.plan.rewrite import rewrite, rewrite_release
from arsis.plan.table import as_table
from arsis.settings import Bell, Gain, HighPass, Limiter, Polarity
from tests.plans_made import RELEASE, songs

V1 = Path(__file__).parent / "plans" / "v1"
GOOD = (V1 / "low-water.toml").read_text()
BY_HAND = (V1 / "by-hand.toml").read_text()
RELEASE_TEXT = (V1 / "release.toml").read_text()


def differing(before: str, after: str) -> list[str]:
    """The lines that went and came, each with its sign."""
    lines = difflib.ndiff(before.splitlines(), after.splitlines())
    return [line for line in lines if line[0] in "+-"]


def comments(text: str) -> set[str]:
    """Every comment of a text whose strings hold no number sign."""
    return {line.partition("#")[2].strip() for line in text.splitlines() if "#" in line}


@pytest.mark.parametrize("text", [GOOD, BY_HAND, GOOD.replace("\n", "\r\n")], ids=["good", "by hand", "crlf"])
def test_nothing_changed_changes_nothing(text: str) -> None:
    assert rewrite(text, parse_song(text)) == text


# An edit, and the lines it makes in the plan.
EDITS = [
    (
        lambda song: edit.set_ride(song, "refrain 1", 0.6),
        ["-ride_db = 0.4   ", "+ride_db = 0.6            # heard"],
    ),
    (lambda song: edit.set_ride(song, "bridge", -1), ["+ride_db = -1.0"]),
    (
        lambda song: edit.move_start(song, "refrain 1", 38.12),
        ["-start_s = 38.095238", "+start_s = 38.120000"],
    ),
    (
        lambda song: edit.set_join(song, "bridge", Join(lead_ms=5)),
        ["+join = { fade_ms = 20.0, lead_ms = 5.0 }"],
    ),
    (
        lambda song: edit.set_join(song, "refrain 1", Join(fade_ms=15, lead_ms=8)),
        ["-join = { fade_ms = 12.0, lead_ms = 8.0 }", "+join = { fade_ms = 15.0, lead_ms = 8.0 }"],
    ),
    (lambda song: edit.set_join(song, "refrain 1", None), ["-join = { fade_ms = 12.0, lead_ms = 8.0 }"]),
    (
        lambda song: edit.set_processor(song, "B", 2, replace(song.pass_["B"].chain[2], gain_db=-0.8)),
        [
            '-  { kind = "bell", freq_hz = 3200.0, gain_db = -0.5,',
            '+  { kind = "bell", freq_hz = 3200.0, gain_db = -0.8,',
        ],
    ),
    (
        lambda song: edit.add_processor(song, "B", HighPass(freq_hz=30), 0),
        ['+  { kind = "high_pass", freq_hz = 30.0, order = 2 },'],
    ),
    (lambda song: edit.add_processor(song, "B", Polarity()), ['+  { kind = "polarity" },']),
    (lambda song: edit.remove_processor(song, "B", 0), ['-  { kind = "gain", gain_db = 0.6 },']),
    (
        lambda song: edit.move_processor(song, "B", 1, 2),
        ['-  { kind = "bell"', '+  { kind = "bell"'],
    ),
    (
        lambda song: edit.add_processor(song, "A", Gain(gain_db=1)),
        ["-chain = []", "+chain = [", '+  { kind = "gain", gain_db = 1.0 },', "+]"],
    ),
    (
        lambda song: edit.set_finish(song, limiter=Limiter(ceiling_dbtp=-0.5)),
        ["-limiter = { ceiling_dbtp = -1.0,", "+limiter = { ceiling_dbtp = -0.5,"],
    ),
    (lambda song: edit.set_finish(song, limiter=None), ["-limiter = {"]),
    (lambda song: edit.set_finish(song, dither="none"), ['+dither = "none"']),
    (
        lambda song: edit.set_pass(song, "D", Pass(note="loud")),
        ["+", "+[pass.D]", '+note = "loud"', "+chain = []"],
    ),
    (
        lambda song: edit.merge(song, "verse 1"),
        ["-[[section]]", '-name = "verse 1"', '-kind = "verse"', "-start_s = 18.5", '-pass = "A"'],
    ),
    (
        lambda song: edit.split(song, 60, "refrain 1b"),
        [
            "+",
            "+[[section]]",
            '+name = "refrain 1b"',
            '+kind = "chorus"',
            "+start_s = 60.000000",
            '+pass = "B"',
            "+ride_db = 0.4",
        ],
    ),
    (
        lambda song: edit.draw_ride(song, [*song.ride, RidePoint(time_s=110, gain_db=-1)]),
        ["+[[ride]]", "+time_s = 110.000000", "+gain_db = -1.0"],
    ),
    (lambda song: edit.draw_ride(song, song.ride[:1]), ["-[[ride]]", "-time_s = 104.0", "-gain_db = 0.5"]),
    (
        lambda song: edit.rename(song, "verse 1", 'the "verse"'),
        ['-name = "verse 1"', '+name = "the \\"verse\\""'],
    ),
    (lambda song: replace(song, title="High Water"), ['-title = "Low Water"', '+title = "High Water"']),
    (lambda song: replace(song, mix_sha256=None), ["-mix_sha256 ="]),
    (
        lambda song: edit.rename_pass(song, "B", "more weight"),
        ['-pass = "B"', '+pass = "more weight"', "-[pass.B]", '+[pass."more weight"]'],
    ),
    (
        lambda song: edit.remove_pass(edit.assign(song, "bridge", "A"), "C"),
        ['-pass = "C"', '+pass = "A"', "-[pass.C]", '-note = "bridge', "-print =", "-"],
    ),
]


@pytest.mark.parametrize("place", range(len(EDITS)))
@pytest.mark.parametrize("newline", ["\n", "\r\n"], ids=["lf", "crlf"])
def test_an_edit_changes_its_own_lines_and_no_others(place: int, newline: str) -> None:
    change, expected = EDITS[place]
    text = GOOD.replace("\n", newline)
    song = change(parse_song(text))
    after = rewrite(text, song)
    assert parse_song(after) == song
    told = [line[0] + line[2:] for line in differing(text, after)]
    assert len(told) == len(expected), told
    for line, start in zip(sorted(told), sorted(expected), strict=True):
        assert line.startswith(start)
    assert after.count("\n") == after.count(newline)
    assert comments(text) == comments(after)


# What can be asked of any plan, given numbers to choose with.
def edited(song: Song, what: int, a: int, b: int) -> Song:
    name = song.section[a % len(song.section)].name
    passes = sorted(song.pass_)
    owner = passes[b % len(passes)]
    printed = song.pass_[owner].print is not None
    owner_chain = song.finish.chain if printed else song.pass_[owner].chain
    owner_or_finish = None if printed else owner
    place = a % max(1, len(owner_chain))
    steps = [
        lambda: edit.set_ride(song, name, b / 10),
        lambda: edit.assign(song, name, passes[b % len(passes)]),
        lambda: edit.rename(song, name, "new name"),
        lambda: edit.merge(song, name),
        lambda: edit.split(song, song.section[a % len(song.section)].start_s + 0.5, f"split {a} {b}"),
        lambda: edit.set_join(song, name, Join(fade_ms=b, lead_ms=0)),
        lambda: edit.set_join(song, name, None),
        lambda: edit.set_kind(song, name, "solo"),
        lambda: edit.add_processor(song, owner_or_finish, Gain(gain_db=b), place),
        lambda: edit.add_processor(song, owner_or_finish, Bell(freq_hz=1000 + b, q=1.5)),
        lambda: edit.remove_processor(song, owner_or_finish, place),
        lambda: edit.move_processor(song, owner_or_finish, place, b % max(1, len(owner_chain))),
        lambda: edit.set_pass(song, f"new {b}", Pass(chain=(Gain(gain_db=b),))),
        lambda: edit.set_pass(song, owner, Pass(note="now printed", print="prints/x.wav")),
        lambda: edit.set_pass(song, owner, Pass(chain=(Polarity(), Gain(gain_db=1)))),
        lambda: edit.set_finish(song, gain_db=b / 3, limiter=None if a % 2 else Limiter(most_db=b)),
        lambda: edit.draw_ride(song, [RidePoint(time_s=n * b, gain_db=n) for n in range(a % 4)]),
        lambda: replace(song, version=(*song.version[a % 2 :], Version(name=f"v {b}", mix="v.wav"))),
        lambda: replace(song, version=tuple(reversed(song.version))),
        lambda: replace(song, version=()),
        lambda: edit.rename_pass(song, owner, f"renamed {a}"),
    ]
    return steps[what % len(steps)]()


MOVES = st.lists(st.tuples(st.integers(0, 20), st.integers(0, 5), st.integers(0, 9)), min_size=1, max_size=5)


def several(song: Song, moves: list[tuple[int, int, int]]) -> Song:
    for move in moves:
        # Two of a name, no room for a join, nothing to move: refused, which is not what is asked here.
        with suppress(ArsisError):
            changed = edited(song, *move)
            song = song_from_table(as_table(changed))
    return song


@given(songs(), MOVES)
@settings(derandomize=True, deadline=None, max_examples=200)
def test_any_edit_is_in_the_text_and_the_remarks_stay(song: Song, moves: list[tuple[int, int, int]]) -> None:
    text = "# kept\n" + song_to_toml(song) + "# kept too\n"
    after = rewrite(text, several(song, moves))
    assert parse_song(after) == several(song, moves)
    assert after.startswith("# kept\n")
    assert "# kept too\n" in after


@given(MOVES, st.sampled_from([GOOD, BY_HAND]))
@settings(derandomize=True, deadline=None, max_examples=200)
def test_hand_written_plans_keep_what_was_not_touched(moves: list[tuple[int, int, int]], text: str) -> None:
    song = several(parse_song(text), moves)
    after = rewrite(text, song)
    assert parse_song(after) == song
    assert after.splitlines()[0] == text.splitlines()[0]  # a fresh document would begin with the schema


@given(songs(), songs())
@settings(derandomize=True, deadline=None, max_examples=150)
def test_any_song_can_be_written_over_any_other(before: Song, after: Song) -> None:
    text = "# mine\n" + song_to_toml(before)
    written = rewrite(text, after)
    assert parse_song(written) == after
    assert written.startswith("# mine\n")


@given(RELEASE, st.randoms(use_true_random=False))
@settings(derandomize=True, deadline=None, max_examples=50)
def test_songs_of_a_release_are_reordered_with_their_remarks(release: Release, random: object) -> None:
    text = "# head\n" + release_to_toml(release)
    for place, song in enumerate(release.song):
        text = text.replace("[[song]]\n", f"# remark {place}\n[[SONG]]\n", 1) if song else text
    text = text.replace("[[SONG]]", "[[song]]")
    order = list(range(len(release.song)))
    random.shuffle(order)  # type: ignore[attr-defined]
    after = replace(release, song=tuple(release.song[place] for place in order))
    written = rewrite_release(text, after)
    assert parse_release(written) == after
    remarks = [line for line in written.splitlines() if line.startswith("# remark")]
    assert remarks == [f"# remark {place}" for place in order]
    assert written.startswith("# head\n")


def test_a_song_of_a_release_that_moves_and_changes_keeps_its_place_in_the_text() -> None:
    release = parse_release(RELEASE_TEXT)
    first, second = release.song
    after = replace(release, song=(replace(second, trim_db=0.5), first))
    written = rewrite_release(RELEASE_TEXT, after)
    assert parse_release(written) == after
    assert written.index("outro") < written.index("low-water")


def test_an_edit_of_a_text_that_ends_without_a_line_end() -> None:
    for text in (GOOD.rstrip("\n"), BY_HAND.rstrip("\n")):
        song = edit.set_finish(edit.set_pass(parse_song(text), "Z", Pass()), dither="none")
        song = replace(song, version=(*song.version, Version(name="new", mix="v.wav")))
        after = rewrite(text, song)
        assert parse_song(after) == song
        assert comments(after) == comments(text)


def test_new_lines_of_the_last_table_stand_before_a_new_table() -> None:
    text = "# mine\n" + song_to_toml(replace(parse_song(GOOD), ride=()))
    song = edit.set_finish(edit.draw_ride(parse_song(text), [RidePoint(time_s=1, gain_db=1)]), dither="none")
    after = rewrite(text, song)
    assert parse_song(after) == song
    assert after.startswith("# mine\n")


def test_a_point_before_the_first_joins_the_row_of_points() -> None:
    song = edit.draw_ride(parse_song(GOOD), [RidePoint(time_s=1, gain_db=1), *parse_song(GOOD).ride])
    assert "\n\n[[ride]]\ntime_s = 1.000000\ngain_db = 1.0\n[[ride]]\n" in rewrite(GOOD, song)


def test_a_text_at_fault_and_a_song_at_fault_are_refused() -> None:
    with pytest.raises(DocumentError, match="title"):
        rewrite(GOOD.replace("title", "tilte"), parse_song(GOOD))
    unsound = replace(parse_song(GOOD), title="")
    with pytest.raises(DocumentError, match="title"):
        rewrite(GOOD, unsound)


NAMED = [
    "[pass]\nB.note = 'x'  # a\nB.chain = []",
    "pass.B = {note='x'}  # a",
    "pass = { B = { note = 'x' } } # a",
    "pass . B . note = 'x'  # a",
    "[pass.'B']\nnote='x'  # a",
    "[ pass . B ]\nnote='x'  # a\n[[pass.B.chain]]\nkind='gain'",
]


@pytest.mark.parametrize("named", NAMED)
def test_a_pass_is_renamed_where_it_stands_however_it_is_written(named: str) -> None:
    section = 'section = [{ name = "all", start_s = 0, pass = "B" }]'
    text = f'schema = 1\ntitle = "t"\nmix = "m.wav"\n{section}\n{named}\n'
    song = edit.rename_pass(parse_song(text), "B", "b 2")
    made = rewrite(text, song)
    assert parse_song(made) == song
    assert comments(made) == comments(text)
    assert made.count("\n") == text.count("\n")


def test_a_print_of_a_version_is_added_under_a_header_of_its_own() -> None:
    text = """schema = 1
title = "t"
mix = "m.wav"
[[version]]
name = "clean"
mix = "c.wav"
[[version.print]]
pass = "A"
file = "a.wav"  # from the tape
[[section]]
name = "all"
start_s = 0.0
pass = "A"
[pass.A]
print = "pa.wav"
[pass.B]
print = "pb.wav"
"""
    song = parse_song(text)
    prints = (*song.version[0].print, VersionPrint(pass_="B", file="b.wav"))
    changed = replace(song, version=(replace(song.version[0], print=prints),))
    made = rewrite(text, changed)
    assert parse_song(made) == changed
    assert "# from the tape" in made
