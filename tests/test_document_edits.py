"""Edits by name: plain JSON does what `plan.edit` does, and each message says what is allowed."""

from __future__ import annotations

import json
from typing import Any

import pytest

from arsis.errors import ArsisError, DocumentError
from arsis.plan import edit
from arsis.plan.codec import parse_song
from arsis.plan.model import Join, RidePoint, Song
from arsis.plan.table import as_table
from arsis.settings import Bell, Gain, Limiter
from arsis.workflow.document_edits import EDITS, edited
from tests.documents import GOOD

SONG = parse_song(GOOD)
CHAIN = as_table(SONG)["pass"]["B"]["chain"]
BELL = {"kind": "bell", "freq_hz": 240, "gain_db": 1}

BY_NAME: list[tuple[str, dict[str, Any], Song]] = [
    ("set_title", {"title": "High"}, edit.set_title(SONG, "High")),
    ("move_start", {"name": "bridge", "start_s": 77}, edit.move_start(SONG, "bridge", 77.0)),
    ("split", {"at_s": 50.5, "name": "x"}, edit.split(SONG, 50.5, "x")),
    ("split", {"at_s": 50.5, "name": "x", "kind": "solo"}, edit.split(SONG, 50.5, "x", "solo")),
    ("merge", {"name": "bridge"}, edit.merge(SONG, "bridge")),
    ("rename", {"name": "bridge", "to": "middle"}, edit.rename(SONG, "bridge", "middle")),
    ("set_kind", {"name": "bridge", "kind": "break"}, edit.set_kind(SONG, "bridge", "break")),
    ("assign", {"name": "bridge", "pass_name": "A"}, edit.assign(SONG, "bridge", "A")),
    ("set_ride", {"name": "bridge", "ride_db": -1}, edit.set_ride(SONG, "bridge", -1.0)),
    (
        "set_join",
        {"name": "bridge", "join": {"fade_ms": 5}},
        edit.set_join(SONG, "bridge", Join(fade_ms=5.0)),
    ),
    ("set_join", {"name": "refrain 1", "join": None}, edit.set_join(SONG, "refrain 1", None)),
    (
        "draw_ride",
        {"points": [{"time_s": 9, "gain_db": 1}]},
        edit.draw_ride(SONG, [RidePoint(time_s=9.0, gain_db=1.0)]),
    ),
    ("new_pass", {"name": "D", "note": "loud"}, edit.new_pass(SONG, "D", "loud")),
    ("copy_pass", {"name": "B", "to": "D"}, edit.copy_pass(SONG, "B", "D")),
    ("set_pass_note", {"name": "B", "note": ""}, edit.set_pass_note(SONG, "B", "")),
    ("set_pass_print", {"name": "B", "print": "x.wav"}, edit.set_pass_print(SONG, "B", "x.wav")),
    ("set_pass_print", {"name": "C", "print": None}, edit.set_pass_print(SONG, "C", None)),
    ("rename_pass", {"name": "B", "to": "D"}, edit.rename_pass(SONG, "B", "D")),
    (
        "add_processor",
        {"owner": "B", "processor": BELL},
        edit.add_processor(SONG, "B", Bell(freq_hz=240.0, gain_db=1.0)),
    ),
    (
        "add_processor",
        {"owner": None, "processor": {"kind": "gain"}, "place": 0},
        edit.add_processor(SONG, None, Gain(), 0),
    ),
    (
        "set_processor",
        {"owner": "B", "place": 0, "processor": {"kind": "gain", "gain_db": 1}, "was": CHAIN[0]},
        edit.set_processor(SONG, "B", 0, Gain(gain_db=1.0)),
    ),
    (
        "remove_processor",
        {"owner": "B", "place": 2, "was": CHAIN[2]},
        edit.remove_processor(SONG, "B", 2),
    ),
    (
        "move_processor",
        {"owner": "B", "place": 2, "to": 0, "was": CHAIN[2]},
        edit.move_processor(SONG, "B", 2, 0),
    ),
    ("set_finish", {"gain_db": 2, "dither": "none"}, edit.set_finish(SONG, gain_db=2.0, dither="none")),
    ("set_finish", {"share_limiter": True}, edit.set_finish(SONG, share_limiter=True)),
    ("set_limiter", {"limiter": {"most_db": 2}}, edit.set_limiter(SONG, Limiter(most_db=2.0))),
    ("set_limiter", {"limiter": None}, edit.set_limiter(SONG, None)),
]


@pytest.mark.parametrize(("name", "args", "song"), BY_NAME)
def test_json_does_what_the_function_does(name: str, args: dict[str, Any], song: Song) -> None:
    assert song != SONG
    assert edited(SONG, name, json.loads(json.dumps(args))) == song


def test_a_pass_that_nobody_uses_is_removed_by_name() -> None:
    more = edit.new_pass(SONG, "D")
    assert edited(more, "remove_pass", {"name": "D"}) == SONG


def test_every_edit_was_tried_by_its_name() -> None:
    assert {name for name, *_ in BY_NAME} | {"remove_pass"} == set(EDITS)


REFUSED = [
    ("set_rid", {}, r'no edit "set_rid"; did you mean "set_ride"\?'),
    ("set_ride", {"name": "bridge"}, r"ride_db is missing; it takes name, ride_db"),
    ("set_ride", {"name": "bridge", "ride_db": 1, "x": 1}, 'an unknown argument "x"; it takes name, ride_db'),
    ("set_ride", {"name": "bridge", "ride_db": "1"}, 'set_ride: ride_db: found "1"; allowed: a number'),
    ("set_ride", {"name": "bridge", "ride_db": True}, "found true; allowed: a number"),
    ("set_ride", {"name": "bridge", "ride_db": float("nan")}, "found nan"),
    ("set_ride", {"name": "bridge", "ride_db": 10**400}, "allowed: a number"),
    ("set_ride", {"name": 3, "ride_db": 1}, "name: found 3; allowed: text"),
    ("set_ride", {"name": None, "ride_db": 1}, "name: found nothing; allowed: text"),
    ("set_kind", {"name": "bridge", "kind": "vrse"}, 'one of "intro", "verse"'),
    ("set_kind", {"name": "bridge", "kind": []}, "found a list"),
    ("draw_ride", {"points": {}}, "points: found a table; allowed: a list"),
    ("draw_ride", {"points": [{"time_s": 1, "gain_db": 0}, 4]}, r"points\[2\]: found 4; allowed: a table"),
    ("draw_ride", {"points": [{"time_s": -1, "gain_db": 0}]}, r"points\[1\]: time_s: found -1"),
    (
        "add_processor",
        {"owner": "A", "processor": {"kind": "bel"}},
        r'did you mean "bell"\? one of gain, bell',
    ),
    ("add_processor", {"owner": "A", "processor": {}}, "processor.kind: found nothing"),
    ("add_processor", {"owner": "A", "processor": {"kind": "bell"}}, "freq_hz: found nothing"),
    ("add_processor", {"owner": "A", "processor": {**BELL, "gain": 1}}, 'did you mean "gain_db"'),
    ("add_processor", {"owner": "A", "processor": BELL, "place": 0.5}, "place: found 0.5; allowed: a whole"),
    ("set_finish", {"dither": "more"}, 'one of "none", "flat"'),
    ("set_finish", {"share_limiter": 1}, "true or false"),
    ("set_limiter", {"limiter": {"ceiling_dbtp": 3}}, "from -24 to 0 dBTP"),
]


@pytest.mark.parametrize(("name", "args", "message"), REFUSED, ids=[message for *_, message in REFUSED])
def test_what_is_not_an_edit_is_one_message(name: str, args: dict[str, Any], message: str) -> None:
    with pytest.raises((ArsisError, DocumentError), match=message):
        edited(SONG, name, args)
