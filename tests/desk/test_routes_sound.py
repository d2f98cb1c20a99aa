"""What the page asks about sounds, over the desk's own server."""

from __future__ import annotations

import hashlib
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import httpx
import numpy as np
import pytest

from arsis.plan.codec import read_song
from arsis.workflow.contour import song_contour
from tests.desk.served import serving
from tests.releases import RATE_HZ, SECONDS, SmallRelease, make_release

SONG = "/api/songs/small-hours"
WAIT_S = 60.0


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> SmallRelease:
    return make_release(tmp_path_factory.mktemp("sounds") / "nocturnes")


@pytest.fixture(scope="module")
def client(made: SmallRelease) -> Iterator[httpx.Client]:
    with serving(made.folder) as served, served.client() as client:
        yield client


def got(client: httpx.Client, path: str) -> httpx.Response:
    """The answer, once it is measured."""
    until = time.monotonic() + WAIT_S
    while (answer := client.get(f"{SONG}{path}")).status_code == 202:
        assert answer.json() == {"measured": False}
        assert time.monotonic() < until, path
        time.sleep(0.05)
    assert answer.status_code == 200, answer.text
    return answer


def sound(client: httpx.Client, sound_id: str) -> dict[str, Any]:
    return next(one for one in got(client, "/sounds").json()["sounds"] if one["id"] == sound_id)


def test_every_sound_is_listed(client: httpx.Client) -> None:
    got(client, "/shape")
    told = got(client, "/sounds").json()
    assert {name: told[name] for name in ("version", "rate_hz", "chunk_frames", "frames", "fault")} == {
        "version": 1,
        "rate_hz": RATE_HZ,
        "chunk_frames": RATE_HZ,
        "frames": round(SECONDS * RATE_HZ),
        "fault": None,
    }
    assert [one["id"] for one in told["sounds"]] == ["mix", "print", "pass:A", "pass:B", "pass:C"]
    assert [one["label"] for one in told["sounds"]][:3] == ["mix", "print", "pass A"]


def test_a_chunk_is_planar_and_kept_by_the_browser_once_it_is_exact(client: httpx.Client) -> None:
    got(client, "/shape")
    one = sound(client, "print")
    first = client.get(f"/api/sounds/small-hours/{one['key']}/0")
    assert first.headers["x-exact"] == "1"
    assert "immutable" in first.headers["cache-control"]
    assert first.headers["x-sha256"] == hashlib.sha256(first.content).hexdigest()
    assert len(first.content) == 2 * 4 * RATE_HZ
    mix = client.get(f"/api/sounds/small-hours/{sound(client, 'mix')['key']}/0")
    assert first.content == mix.content  # the first second is left alone


def test_what_is_not_there_is_told_in_the_one_shape(client: httpx.Client) -> None:
    key = sound(client, "mix")["key"]
    for path in (
        f"/api/sounds/small-hours/{'0' * 24}/0",
        f"/api/sounds/small-hours/{key}/99",
        f"/api/sounds/nowhere/{key}/0",
        f"{SONG}/series/pass:Z",
        f"{SONG}/peaks/nothing",
        "/api/songs/nowhere/sounds",
    ):
        answer = client.get(path)
        assert answer.status_code == 404, path
        assert answer.json()["error"]
    assert client.get(f"{SONG}/levels?start_s=soon").status_code == 400
    assert client.get(f"{SONG}/join?section=bridge").status_code == 400
    assert client.get(f"{SONG}/join?section=nowhere&at_s=1").status_code == 422


def test_the_shape_is_what_contour_tells(client: httpx.Client, made: SmallRelease) -> None:
    told = got(client, "/shape").json()
    want = song_contour(made.plan)
    assert told["version"] == 1
    assert [one["pass"] for one in told["sections"]] == [one.pass_ for one in want.sections]
    assert [one["print"]["loudness_lufs"] for one in told["sections"]] == [
        one.print.loudness_lufs for one in want.sections
    ]
    assert [one["took"]["step_db"] for one in told["sections"]] == [one.took.step_db for one in want.sections]
    assert told["warnings"] == list(want.warnings)
    assert len(told["joins"]) == len(read_song(made.plan).section) - 1
    assert len(told["took_db"]) == round(SECONDS / told["took_hop_s"])


def test_series_are_the_meters_and_null_where_they_read_nothing(client: httpx.Client) -> None:
    told = got(client, "/series/print").json()
    tenths = round(10 * SECONDS)
    assert {len(told[name]) for name in told if name != "hop_s"} == {tenths}
    assert told["momentary_lufs"][:3] == [None] * 3
    assert told["short_term_lufs"][28] is None
    assert told["short_term_lufs"][29] is not None
    assert max(told["true_peak_dbtp"]) == pytest.approx(sound(client, "print")["true_peak_dbtp"], abs=1e-9)
    assert all(-1.0 <= one <= 1.0 for one in told["correlation"] if one is not None)
    assert got(client, "/series/mix").json()["took_db"] == []


def test_levels_peaks_beats_and_joins_answer(client: httpx.Client) -> None:
    got(client, "/beats")
    assert got(client, "/peaks/mix").content[:4] == b"arPK"
    told = got(client, "/levels?start_s=2&end_s=4").json()
    assert set(told["lufs"]) == set(told["gain_db"]) == {"mix", "print", "pass:A", "pass:B", "pass:C"}
    join = got(client, "/join?section=bridge&at_s=4.0").json()
    assert set(join) == {"at_s", "fade_ms", "lead_ms", "dip_db", "note"}


def test_an_edit_is_another_key_and_heard_at_once(release: SmallRelease, tmp_path: Path) -> None:
    with serving(release.folder) as served, served.client() as client:
        before = sound(client, "print")["key"]
        edit = {"edit": "set_ride", "args": {"name": "refrain 1", "ride_db": 1.0}}
        told = client.post(f"{SONG}/edits", json=edit)
        assert told.status_code == 200, told.text
        after = sound(client, "print")["key"]
        assert after != before
        paths = (f"/api/sounds/small-hours/{key}/3" for key in (before, after))
        old, new = (np.frombuffer(client.get(path).content, "<f4") for path in paths)
        assert 20 * np.log10(np.std(new) / np.std(old)) == pytest.approx(0.6, abs=0.01)
        assert client.post(f"{SONG}/reopen", json={}).status_code == 200
        assert sound(client, "print")["key"] == after
