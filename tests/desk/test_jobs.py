"""Jobs of the desk: what they make, how they end, what they leave."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from pathlib import Path
from threading import Event
from typing import Any

import httpx
import pytest

from arsis.desk import orders
from arsis.desk.jobs import Job, Made
from arsis.desk.orders import song_work
from arsis.io.whole import write_text_whole
from arsis.render.progress import Progress
from arsis.workflow.print import print_song
from tests.desk.served import Served
from tests.releases import SmallRelease

SONG = "small-hours"


@pytest.fixture
def client(desk: Served) -> Iterator[httpx.Client]:
    with desk.client() as client:
        yield client


def begun(client: httpx.Client, where: str, **wish: Any) -> dict[str, Any]:
    answered = client.post(where, json=wish)
    assert answered.status_code == 202, answered.text
    found: dict[str, Any] = answered.json()
    return found


def on_song(client: httpx.Client, **wish: Any) -> dict[str, Any]:
    return ended(client, begun(client, f"/api/songs/{SONG}/jobs", **wish))


def on_release(client: httpx.Client, **wish: Any) -> dict[str, Any]:
    return ended(client, begun(client, "/api/jobs", **wish))


def ended(client: httpx.Client, job: dict[str, Any]) -> dict[str, Any]:
    for _ in range(6000):
        found: dict[str, Any] = next(one for one in client.get("/api/jobs").json() if one["id"] == job["id"])
        if found["state"] not in ("waiting", "running"):
            return found
        time.sleep(0.01)
    raise AssertionError(found)


class Gate:
    """Holds a job back where it first says how far it has come."""

    def __init__(self) -> None:
        self.reached, self.opened = Event(), Event()

    def hold(self, work: Callable[[Progress], Made]) -> Callable[[Progress], Made]:
        def held(progress: Progress) -> Made:
            def come(done: int, total: int) -> None:
                self.reached.set()
                assert self.opened.wait(60)
                progress(done, total)

            return work(come)

        return held

    def waits(self, progress: Progress) -> Made:
        self.reached.set()
        assert self.opened.wait(60)
        progress(1, 1)
        return Made({})


def files_of(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


@pytest.mark.parametrize("wish", [{}, {"bits": "16", "rate_hz": 48_000, "container": "flac"}, {"pass": "B"}])
def test_a_print_has_the_bytes_of_the_command(
    client: httpx.Client, desk: Served, release: SmallRelease, wish: dict[str, Any], tmp_path: Path
) -> None:
    job = on_song(client, kind="print", **wish)
    assert (job["state"], job["told"]) == ("done", "")
    ending = wish.get("container", "wav")
    by_command = print_song(
        release.plan,
        out=tmp_path / f"print.{ending}",
        bits=wish.get("bits"),
        rate_hz=wish.get("rate_hz"),
        pass_name=wish.get("pass"),
    )
    name = f"{SONG}-pass-B" if "pass" in wish else SONG
    assert job["result"]["out"] == f"prints/{name}.{ending}"
    assert (release.folder / job["result"]["out"]).read_bytes() == by_command.out.read_bytes()
    for figure in ("sha256", "frames", "integrated_lufs", "true_peak_dbtp"):
        assert job["result"][figure] == getattr(by_command, figure)
    assert job["result"]["took"]["max_db"] == by_command.took.max_db
    assert [one["name"] for one in job["files"]] == [f"{name}.{ending}"]
    got = client.get(f"/api/jobs/{job['id']}/files/0")
    assert got.content == by_command.out.read_bytes()
    assert got.headers["content-disposition"].startswith("attachment")


def test_a_print_is_of_the_plan_as_it_was_asked_for(
    client: httpx.Client, desk: Served, release: SmallRelease, tmp_path: Path
) -> None:
    before = print_song(release.plan, out=tmp_path / "before.wav").out.read_bytes()
    gate = Gate()
    for _ in range(2):
        desk.desk.jobs.begin("waits", None, gate.waits)
    job = begun(client, f"/api/songs/{SONG}/jobs", kind="print")
    release.change("gain_db = 0.6", "gain_db = 1.1")
    assert next(one for one in client.get("/api/jobs").json() if one["id"] == job["id"])["state"] == "waiting"
    gate.opened.set()
    assert ended(client, job)["state"] == "done"
    assert release.default_print.read_bytes() == before
    assert on_song(client, kind="print")["state"] == "done"
    assert release.default_print.read_bytes() != before


@pytest.mark.parametrize("there", [False, True])
def test_a_print_that_is_stopped_leaves_what_was_there(
    client: httpx.Client, desk: Served, release: SmallRelease, there: bool
) -> None:
    if there:
        release.default_print.write_bytes(b"an older print")
    before = files_of(release.folder)
    gate = Gate()
    work = song_work(desk.desk.folder, release.plan.resolve(), "print", {}, lambda moves: None)
    job = desk.desk.jobs.begin("print", SONG, gate.hold(work))
    assert gate.reached.wait(60)
    assert client.delete(f"/api/jobs/{job.id}").json()["state"] == "running"
    gate.opened.set()
    stopped = ended(client, {"id": job.id})
    assert (stopped["state"], stopped["told"]) == ("cancelled", "nothing half-written is left")
    assert stopped["files"] == []
    assert files_of(release.folder) == before


def test_a_job_that_waits_is_stopped_at_once(client: httpx.Client, desk: Served) -> None:
    gate = Gate()
    for _ in range(2):
        desk.desk.jobs.begin("waits", None, gate.waits)
    job = begun(client, f"/api/songs/{SONG}/jobs", kind="print")
    assert client.delete(f"/api/jobs/{job['id']}").json()["state"] == "cancelled"
    gate.opened.set()
    assert not (desk.desk.folder / "prints" / f"{SONG}.wav").exists()


def test_a_job_that_fails_says_why_and_leaves_nothing(client: httpx.Client, release: SmallRelease) -> None:
    release.change('mix_sha256 = "', 'mix_sha256 = "' + "0" * 64 + '" # "')
    before = files_of(release.folder)
    failed = on_song(client, kind="print")
    assert failed["state"] == "failed"
    assert "not the mix that the plan of 'Small Hours' was made for" in failed["told"]
    assert "Traceback" not in failed["told"]
    assert files_of(release.folder) == before


def test_a_fault_of_the_program_is_told_as_one(
    client: httpx.Client, desk: Served, caplog: pytest.LogCaptureFixture
) -> None:
    def broken(progress: Progress) -> Made:
        raise ZeroDivisionError("a slip")

    job = desk.desk.jobs.begin("print", SONG, broken)
    told = ended(client, {"id": job.id})["told"]
    assert told == "a fault of the program itself, not yours: ZeroDivisionError: a slip"
    assert "ZeroDivisionError" in caplog.text


@pytest.mark.parametrize(
    ("where", "wish", "status", "told"),
    [
        (f"/api/songs/{SONG}/jobs", {"kind": "sing"}, 422, "kind: found 'sing'; allowed: print"),
        (f"/api/songs/{SONG}/jobs", {}, 422, "kind: found ''"),
        (f"/api/songs/{SONG}/jobs", {"kind": "print", "bits": 24}, 422, "bits: found 24; allowed: 16, 24"),
        (f"/api/songs/{SONG}/jobs", {"kind": "print", "rate_hz": True}, 422, "rate_hz: found True"),
        (f"/api/songs/{SONG}/jobs", {"kind": "print", "out": "/tmp/x.wav"}, 422, "out: an unknown key"),
        (f"/api/songs/{SONG}/jobs", {"kind": "print", "container": "mp3"}, 422, "allowed: wav, flac, aiff"),
        ("/api/songs/other/jobs", {"kind": "print"}, 404, "no song other"),
        ("/api/jobs", {"kind": "print"}, 422, "kind: found 'print'; allowed: record"),
        ("/api/jobs", {"kind": "deliver"}, 422, "profile: found nothing; allowed: hires"),
        ("/api/jobs", {"kind": "deliver", "profile": "../x"}, 422, "profile: found '../x'; allowed: hires"),
        ("/api/jobs", {"kind": "verify", "profile": "cd"}, 422, "cd"),
    ],
)
def test_a_wish_at_fault_is_refused(
    client: httpx.Client, where: str, wish: dict[str, Any], status: int, told: str
) -> None:
    answered = client.post(where, json=wish)
    assert answered.status_code == status
    assert told in answered.json()["error"]
    assert client.get("/api/jobs").json() == []


def test_a_plan_at_fault_is_told_with_its_lines(client: httpx.Client, release: SmallRelease) -> None:
    release.change("ride_db = 0.4", "ride_dp = 0.4")
    answered = client.post(f"/api/songs/{SONG}/jobs", json={"kind": "print"})
    assert answered.status_code == 422
    (fault,) = answered.json()["faults"]
    assert (fault["key"], fault["line"]) == ("section[2].ride_dp", 17)


def test_the_list_is_bounded(client: httpx.Client, desk: Served) -> None:
    gate = Gate()
    waiting = [desk.desk.jobs.begin("waits", None, gate.waits) for _ in range(16)]
    answered = client.post(f"/api/songs/{SONG}/jobs", json={"kind": "print"})
    assert answered.status_code == 422
    assert answered.json()["error"].startswith("16 jobs wait or run already")
    gate.opened.set()
    for job in waiting:
        ended(client, {"id": job.id})
    ids: list[str] = []
    for _ in range(60):
        job = desk.desk.jobs.begin("quick", None, lambda progress: Made({}))
        ids.append(ended(client, {"id": job.id})["id"])
    listed = [one["id"] for one in client.get("/api/jobs").json()]
    assert len(listed) <= 33
    assert listed[-1] == ids[-1]
    assert client.delete(f"/api/jobs/{ids[0]}").status_code == 404


def test_a_file_written_over_since_is_not_given_for_the_old_one(
    client: httpx.Client, release: SmallRelease
) -> None:
    job = on_song(client, kind="print")
    write_text_whole(release.default_print, "another")
    answered = client.get(f"/api/jobs/{job['id']}/files/0")
    assert answered.status_code == 410
    assert answered.json()["error"].startswith("small-hours.wav was written anew or removed since")
    assert client.get(f"/api/jobs/{job['id']}/files/1").status_code == 404


def test_the_report_is_shown_as_a_page_of_nobodys(client: httpx.Client, release: SmallRelease) -> None:
    job = on_song(client, kind="report")
    assert job["result"]["out"] == "reports/small-hours.html"
    page = client.get(f"/api/jobs/{job['id']}/files/0", params={"show": "1"})
    assert page.content == (release.folder / "reports/small-hours.html").read_bytes()
    assert page.headers["content-security-policy"].startswith("sandbox; default-src 'none'; style-src")
    assert "content-disposition" not in page.headers


def test_the_release_is_delivered_verified_and_shown_as_a_record(
    client: httpx.Client, release: SmallRelease, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(orders, "default_jobs", lambda: 1)
    monkeypatch.setattr("arsis.workflow.verify.default_jobs", lambda: 1)
    made = on_release(client, kind="deliver", profile="hires")
    assert (made["state"], made["told"]) == ("done", "")
    assert made["result"]["out"] == "deliveries/hires"
    assert [one["path"] for one in made["result"]["sounds"]] == ["01 Small Hours.wav"]
    names = [one["name"] for one in made["files"]]
    assert {"01 Small Hours.wav", "manifest.json"} <= set(names)
    n = names.index("01 Small Hours.wav")
    got = client.get(f"/api/jobs/{made['id']}/files/{n}")
    assert got.content == (release.folder / "deliveries/hires/01 Small Hours.wav").read_bytes()
    delivered = {one["name"]: one["delivered"] for one in client.get("/api/profiles").json()}
    assert delivered["hires"]
    assert not delivered["cd"]
    verified = on_release(client, kind="verify", profile="hires")
    assert verified["result"]["holds"], verified
    assert verified["result"]["rebuilt"] == ["01 Small Hours.wav"]
    record = on_release(client, kind="record")
    assert [one["title"] for one in record["result"]["shape"]["songs"]] == ["Small Hours"]
    assert [one["name"] for one in record["files"]] == ["record.html"]


def test_advice_is_listed(client: httpx.Client) -> None:
    job = on_song(client, kind="advise")
    assert job["state"] == "done", job
    assert set(job["result"]) >= {"advice", "leave", "ask_mixer", "mix"}
    assert client.get(f"/api/songs/{SONG}/sounds").json()["moves"] == {"stand": True, "dropped": []}
    assert client.post(f"/api/songs/{SONG}/reopen", json={}).json()["moves"] == {"stand": True, "dropped": []}
    assert client.post(f"/api/songs/{SONG}/moves/nothing-such", json={"dropped": True}).status_code == 404
    assert client.post(f"/api/songs/{SONG}/moves/nothing-such", json={"dropped": 1}).status_code == 422
    failed = on_song(client, kind="apply", advice="nothing-such")
    assert "nothing is advised under 'nothing-such'" in failed["told"]


def test_jobs_stop_when_the_desk_closes(desk: Served) -> None:
    gate = Gate()
    gate.opened.set()

    def endless(progress: Progress) -> Made:
        gate.reached.set()
        while True:
            progress(1, 2)
            time.sleep(0.01)

    jobs: list[Job] = [desk.desk.jobs.begin("endless", None, endless) for _ in range(3)]
    assert gate.reached.wait(60)
    desk.desk.close()
    assert [job.state for job in jobs] == ["cancelled"] * 3
