"""What the page is told of a release and its songs, and how it changes them."""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import pytest
from starlette.applications import Starlette

from arsis.desk.app import make_app
from arsis.desk.desk import Desk
from tests.desk.asking import ask
from tests.releases import SmallRelease

SONG = "/api/songs/small-hours"


@dataclass
class Asked:
    """A desk's application without a server. `news` is what the pages were told of the song's document."""

    release: SmallRelease
    app: Starlette
    news: list[tuple[str, dict[str, Any]]]

    def get(self, path: str = "") -> Any:
        answer = ask(self.app, "GET", SONG + path)
        assert answer.status_code == 200, answer.text
        return answer.json()

    def post(self, path: str, body: dict[str, Any] | None = None, status: int = 200) -> Any:
        answer = ask(self.app, "POST", SONG + path, body or {})
        assert answer.status_code == status, answer.text
        return answer.json()

    def release_told(self) -> Any:
        return ask(self.app, "GET", "/api/release").json()

    def edit(self, edit: str, status: int = 200, **args: Any) -> Any:
        return self.post("/edits", {"edit": edit, "args": args}, status)


@pytest.fixture
def asked(release: SmallRelease) -> Iterator[Asked]:
    desk = Desk(release.folder)
    news: list[tuple[str, dict[str, Any]]] = []

    def send(name: str, value: dict[str, Any]) -> None:
        if name == "song":
            news.append((name, value))

    desk.events.send = send  # type: ignore[method-assign]
    yield Asked(release, make_app(desk), news)
    desk.close()


def test_the_release_lists_its_songs_and_what_is_wrong_with_them(asked: Asked) -> None:
    told = asked.release_told()
    song = {"id": "small-hours", "title": "Small Hours", "plan": "songs/small-hours.toml", "fault": None}
    assert told == {"title": "Nocturnes", "artist": "The Lamps", "folder": "nocturnes", "songs": [song]}
    asked.release.change('title = "Small Hours"', "title = 5")
    assert "title: found 5" in asked.release_told()["songs"][0]["fault"]


def test_a_document_has_the_plan_and_the_length_of_its_mix(asked: Asked) -> None:
    told = asked.get()
    assert (told["id"], told["title"], told["version"]) == ("small-hours", "Small Hours", 1)
    assert (told["frames"], told["rate_hz"], told["duration_s"]) == (308_700, 44_100, 7.0)
    assert [one["name"] for one in told["plan"]["section"]] == ["verse 1", "refrain 1", "bridge", "verse 2"]
    assert told["plan"]["pass"]["B"]["chain"][0] == {"kind": "gain", "gain_db": 0.6, **_extra(told)}
    assert (told["undo"], told["redo"], told["fault"], told["clash"]) == (None, None, None, None)
    assert (told["revisions"], told["kept_as"]) == ([], None)


def _extra(told: dict[str, Any]) -> dict[str, Any]:
    link = told["plan"]["pass"]["B"]["chain"][0]
    return {key: value for key, value in link.items() if key not in ("kind", "gain_db")}


def test_edits_undo_and_redo_give_the_document_and_tell_the_other_pages(asked: Asked) -> None:
    told = asked.edit("set_ride", name="refrain 1", ride_db=1)
    assert told["plan"]["section"][1]["ride_db"] == 1.0
    assert told["undo"] == "refrain 1: ride +0.4 → +1.0 dB"
    assert "ride_db = 1.0" in asked.release.plan.read_text()
    assert asked.news == [("song", {"song": "small-hours", "version": 2})]
    told = asked.post("/undo")
    assert (told["version"], told["undo"]) == (3, None)
    assert told["redo"] == "refrain 1: ride +0.4 → +1.0 dB"
    assert asked.post("/redo")["plan"]["section"][1]["ride_db"] == 1.0


REFUSED = [
    ({"edit": "set_rides", "args": {}}, 422, 'did you mean "set_ride"'),
    ({"edit": "set_ride", "args": {"name": "bridge"}}, 422, "ride_db is missing"),
    ({"edit": "set_ride", "args": {"name": "bridge", "ride_db": "1"}}, 422, 'found "1"; allowed: a number'),
    ({"edit": "set_ride", "args": {"name": "bridge", "ride_db": 99}}, 422, "from -24 to 12 dB"),
    ({"edit": "set_ride", "args": {"name": "verse 3", "ride_db": 1}}, 409, 'did you mean "verse 2"'),
    ({"edit": "add_processor", "args": {"owner": "A", "processor": {"kind": "bel"}}}, 422, "bell"),
    ({"edit": "remove_processor", "args": {"owner": "B", "place": 0, "was": {"kind": "tilt"}}}, 409, "gain"),
    ({"edit": "split", "args": {"at_s": 8, "name": "coda"}}, 422, "before the mix ends"),
    ({"edit": "draw_ride", "args": {"points": [{"time_s": 1}]}}, 422, "gain_db: found nothing"),
    ({"edit": "merge", "args": []}, 422, "args has to be a JSON object"),
    ({"args": {}}, 422, "edit is missing"),
    ({"edit": "merge", "args": {"name": "bridge"}, "gesture": "x" * 201}, 422, "200"),
]  # fmt: skip


@pytest.mark.parametrize(("body", "status", "message"), REFUSED, ids=[message for _, _, message in REFUSED])
def test_what_cannot_be_done_is_one_message_and_changes_nothing(
    asked: Asked, body: dict[str, Any], status: int, message: str
) -> None:
    before = asked.release.plan.read_bytes()
    told = asked.post("/edits", body, status)
    assert message in told["error"]
    assert asked.release.plan.read_bytes() == before
    assert asked.get()["version"] == 1


def test_an_unknown_song_is_not_found(asked: Asked) -> None:
    for song in ("large-hours", "..%2Fsmall-hours"):
        assert ask(asked.app, "GET", f"/api/songs/{song}").status_code == 404


def test_a_change_on_disk_is_noticed_and_told(asked: Asked) -> None:
    asked.get()
    asked.release.change("ride_db = 0.4", "ride_db = 0.9")
    for _ in range(200):
        if asked.news:
            break
        time.sleep(0.02)
    assert asked.news == [("song", {"song": "small-hours", "version": 2})]
    assert asked.get()["undo"] == "changed on disk: refrain 1: ride +0.4 → +0.9 dB"


def test_a_broken_file_is_told_with_its_lines_and_answered(asked: Asked) -> None:
    asked.edit("set_ride", name="refrain 1", ride_db=1)
    asked.release.change("ride_db = 1.0", "ride_db = 99")
    assert (
        "songs/small-hours.toml:17: section[2].ride_db: found 99" in asked.post("/undo", status=409)["error"]
    )
    fault = {"line": 17, "key": "section[2].ride_db", "found": "99", "allowed": "a number from -24 to 12 dB"}
    assert asked.get()["fault"] == [fault]
    asked.post("/take", {"which": "disk"}, 409)
    asked.post("/take", {"which": "mine"}, 422)
    told = asked.post("/take", {"which": "desk"})
    assert told["fault"] is None
    assert "revisions/small-hours/by-hand-1.toml" in told["said"]
    assert "ride_db = 1.0" in asked.release.plan.read_text()


def test_a_clash_is_told_and_answered(asked: Asked) -> None:
    seen = asked.get()["version"]
    asked.release.change("ride_db = 0.4", "ride_db = 0.9")
    body = {"edit": "set_ride", "args": {"name": "refrain 1", "ride_db": 1}, "seen": seen}
    assert asked.post("/edits", body)["clash"] == {"told": ["refrain 1: ride +0.4 → +0.9 dB"]}
    told = asked.post("/take", {"which": "disk"})
    assert told["clash"] is None
    assert told["plan"]["section"][1]["ride_db"] == 0.9


def test_states_are_kept_compared_and_brought_back(asked: Asked) -> None:
    told = asked.post("/revisions", {"note": "first"})
    assert [(one["number"], one["note"]) for one in told["revisions"]] == [(1, "first")]
    assert told["kept_as"] == 1
    assert asked.edit("set_ride", name="refrain 1", ride_db=1)["kept_as"] is None
    assert asked.get("/revisions/1/diff") == {"told": ["refrain 1: ride +0.4 → +1.0 dB"]}
    assert len(asked.post("/revisions", {"note": "higher"})["revisions"]) == 2
    assert asked.get("/revisions/2/diff?with=1") == {"told": ["refrain 1: ride +1.0 → +0.4 dB"]}
    told = asked.post("/revisions/1/restore")
    assert (told["kept_as"], told["undo"]) == (1, "back to revision 1")
    assert asked.post("/undo")["kept_as"] == 2
    assert "no revision 9" in asked.post("/revisions/9/restore", status=422)["error"]
    assert "note" in asked.post("/revisions", {"note": " "}, 422)["error"]


def test_damaged_notes_do_not_close_the_song(asked: Asked) -> None:
    asked.post("/revisions", {"note": "first"})
    (asked.release.folder / "revisions/small-hours/notes.toml").write_text("[[revision]]\n")
    told = asked.get()
    assert told["revisions"] == []
    assert "damaged" in told["revisions_fault"]
