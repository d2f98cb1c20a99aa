"""Nothing outside the release folder is read or written through the desk, wherever paths and links lead."""

from __future__ import annotations

import shutil
import socket
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any
from urllib.parse import quote

import httpx
import pytest

from arsis.errors import ArsisError
from arsis.workflow.inside import check_inside, check_song
from arsis.workflow.places import open_plan
from tests.desk.served import Served
from tests.releases import SmallRelease, music, write

JOBS = "/api/songs/small-hours/jobs"
LEADS_OUT = "leads out of the release folder, and the desk does not follow"


@pytest.fixture
def client(desk: Served) -> Iterator[httpx.Client]:
    with desk.client() as client:
        yield client


@pytest.fixture
def outside(tmp_path: Path) -> Path:
    folder = tmp_path / "outside"
    folder.mkdir()
    return folder


def moved_out(path: Path, outside: Path) -> Path:
    """A link now stands where the file or folder was."""
    target = outside / path.name
    shutil.move(path, target)
    path.symlink_to(target)
    return target


def snapshot(folder: Path) -> dict[str, bytes]:
    return {str(one.relative_to(folder)): one.read_bytes() for one in folder.rglob("*") if one.is_file()}


SPELLINGS = (
    "/../desk.py",
    "/%2e%2e/desk.py",
    "/..%2fdesk.py",
    "/vendor/../../desk.py",
    "/vendor/..%2f..%2fdesk.py",
    "/....//desk.py",
    "/..%5cdesk.py",
    "//etc/passwd",
    "/%2fetc/passwd",
    "/page.css%00",
    "/api/jobs/x/files/../../../../release.toml",
    "/api/songs/..%2frelease/jobs",
)


def test_no_spelling_of_a_path_leads_out(desk: Served) -> None:
    """Sent as they are: a client would tidy them."""
    host, port = desk.origin.removeprefix("http://").split(":")
    head = f"Host: {host}:{port}\r\nAuthorization: Bearer {desk.token}\r\nConnection: close\r\n\r\n"
    for path in SPELLINGS:
        with socket.create_connection((host, int(port)), timeout=30.0) as line:
            line.sendall(f"GET {path} HTTP/1.1\r\n{head}".encode())
            answered = b""
            while piece := line.recv(65536):
                answered += piece
        assert int(answered.split(b" ", 2)[1]) in (400, 404, 405), (path, answered[:200])
        assert b"class Desk" not in answered, path
        assert b"root:" not in answered, path


@pytest.mark.parametrize(
    "name", ["mixes/small-hours.wav", "prints/small-hours-bridge.wav", "mixes", "prints"]
)
def test_sound_that_lies_elsewhere_is_neither_read_nor_written(
    client: httpx.Client, release: SmallRelease, outside: Path, name: str
) -> None:
    moved_out(release.folder / name, outside)
    before = snapshot(outside)
    for where, kind in ((JOBS, "print"), (JOBS, "report"), (JOBS, "advise"), ("/api/jobs", "record")):
        answered = client.post(where, json={"kind": kind})
        assert answered.status_code == 422, kind
        assert LEADS_OUT in answered.json()["error"]
    assert snapshot(outside) == before


@pytest.mark.parametrize(
    ("link", "wish"),
    [
        ("prints/small-hours.wav", {"kind": "print"}),
        ("prints/small-hours.flac", {"kind": "print", "container": "flac"}),
        ("reports", {"kind": "report"}),
        ("reports/small-hours.html", {"kind": "report"}),
        ("songs/small-hours.toml", {"kind": "print"}),
        ("songs", {"kind": "print"}),
        ("revisions", {"kind": "print"}),
        ("revisions/small-hours", {"kind": "print"}),
    ],
)
def test_nothing_is_written_through_a_link(
    client: httpx.Client, release: SmallRelease, outside: Path, link: str, wish: dict[str, str]
) -> None:
    path = release.folder / link
    if path.exists():
        moved_out(path, outside)
    else:
        path.parent.mkdir(exist_ok=True)
        path.symlink_to(outside / path.name)  # nothing there yet: it would be made
    before = snapshot(outside)
    answered = client.post(JOBS, json=wish)
    assert answered.status_code == 422
    assert LEADS_OUT in answered.json()["error"]
    assert snapshot(outside) == before


@pytest.mark.parametrize(
    "kind", [{"kind": "deliver", "profile": "hires"}, {"kind": "verify", "profile": "hires"}]
)
@pytest.mark.parametrize("link", ["deliveries", "deliveries/hires"])
def test_a_delivery_elsewhere_is_left_alone(
    client: httpx.Client, release: SmallRelease, outside: Path, link: str, kind: dict[str, str]
) -> None:
    path = release.folder / link
    path.parent.mkdir(exist_ok=True)
    path.symlink_to(outside)
    answered = client.post("/api/jobs", json=kind)
    assert answered.status_code == 422
    assert LEADS_OUT in answered.json()["error"]
    assert list(outside.iterdir()) == []


@pytest.mark.parametrize("mix", ["/etc/hostname", "../outside/x.wav", "mixes/../../outside/x.wav"])
def test_a_plan_that_names_a_path_outside_is_at_fault(
    client: httpx.Client, release: SmallRelease, mix: str
) -> None:
    release.change('mix = "mixes/small-hours.wav"', f'mix = "{mix}"')
    answered = client.post(JOBS, json={"kind": "print"})
    assert answered.status_code == 422
    (fault,) = answered.json()["faults"]
    assert fault["key"] == "mix"


def test_a_song_that_lies_elsewhere_is_not_opened(
    client: httpx.Client, desk: Served, release: SmallRelease, outside: Path
) -> None:
    moved_out(release.plan, outside)
    with pytest.raises(ArsisError, match=LEADS_OUT):
        desk.desk.song("small-hours")


@pytest.mark.parametrize(
    "name", ["mixes/small-hours.wav", "prints/small-hours-bridge.wav", "songs/small-hours.toml", ".arsis"]
)
def test_a_song_with_a_link_that_leads_out_is_not_heard(
    client: httpx.Client, release: SmallRelease, outside: Path, name: str
) -> None:
    path = release.folder / name
    if path.exists():
        moved_out(path, outside)
    else:
        path.symlink_to(outside)
    before = snapshot(outside)
    for what in ("", "/sounds", "/shape", "/spectrum?pass=B"):
        answered = client.get(f"/api/songs/small-hours{what}")
        assert answered.status_code == 422, what
        assert LEADS_OUT in answered.json()["error"]
    (listed,) = client.get("/api/release").json()["songs"]
    assert (listed["fault"] is None) == (not name.startswith("songs/"))
    assert snapshot(outside) == before


def test_a_link_that_comes_later_is_not_followed_either(
    client: httpx.Client, release: SmallRelease, outside: Path
) -> None:
    """The song is open: another plan names a printed pass that lies elsewhere, and a record is a link."""
    assert client.get("/api/songs/small-hours/sounds").json()["fault"] is None
    shutil.copy(release.outboard, outside / "secret.wav")
    for link in ("prints/later.wav", "references/later.wav"):
        (release.folder / link).parent.mkdir(exist_ok=True)
        (release.folder / link).symlink_to(outside / "secret.wav")
    release.change("prints/small-hours-bridge.wav", "prints/later.wav")
    heard: dict[str, Any] = {}

    def refused() -> bool:
        heard.update(client.get("/api/songs/small-hours/sounds").json())
        return heard["fault"] is not None

    _wait_for(refused)
    assert "prints/later.wav" in heard["fault"]
    assert LEADS_OUT in heard["fault"]
    assert not [one for one in heard["sounds"] if one["id"].startswith("reference:")]
    assert client.get("/api/songs/small-hours/spectrum?pass=B").status_code == 422


def test_a_link_that_stays_inside_is_followed(release: SmallRelease) -> None:
    kept = release.folder / "kept.wav"
    shutil.move(release.mix, kept)
    release.mix.symlink_to(kept)
    check_song(release.folder, open_plan(release.plan).song)


def test_a_release_that_is_itself_reached_by_a_link_is_inside(release: SmallRelease, tmp_path: Path) -> None:
    link = tmp_path / "link"
    link.symlink_to(release.folder)
    check_inside(link, link / "mixes/small-hours.wav")
    with pytest.raises(ArsisError, match="leads out"):
        check_inside(link, tmp_path / "nocturnes-elsewhere")


@pytest.fixture
def record(tmp_path: Path) -> bytes:
    return write(tmp_path / "record.wav", music(1.0)).read_bytes()


def upload(client: httpx.Client, name: str, data: bytes) -> httpx.Response:
    return client.put(f"/api/references/{name}", content=data)


def there(release: SmallRelease) -> list[str]:
    folder = release.folder / "references"
    return sorted(one.name for one in folder.iterdir()) if folder.exists() else []


SAFE_NAMES = (
    ("A Record, 1.wav", "A Record, 1.wav"),
    (".hidden.wav", "hidden.wav"),
    ("con.wav", "con-.wav"),
    ("a:b*c?.WAV", "a-b-c-.wav"),
    ("..\\x.wav", "-x.wav"),
    ("é.wav", "é.wav"),
    ("x" * 250 + ".wav", "x" * 199 + ".wav"),
)


def test_an_uploaded_record_gets_a_name_that_is_safe(
    client: httpx.Client, release: SmallRelease, record: bytes
) -> None:
    for name, kept in SAFE_NAMES:
        answered = upload(client, quote(name), record)
        assert (answered.status_code, answered.json()) == (201, {"name": kept})
        assert (release.folder / "references" / kept).read_bytes() == record
    assert there(release) == sorted(kept for _, kept in SAFE_NAMES)


def test_an_upload_of_another_name_is_refused(
    client: httpx.Client, release: SmallRelease, record: bytes
) -> None:
    before = snapshot(release.folder)
    for name in ("..", "../x.wav", "..%2fx.wav", "a/b.wav", "/etc/x.wav", "x.txt", "x", ".wav"):
        assert upload(client, name, record).status_code in (404, 405, 422), name
    assert snapshot(release.folder) == before


def test_an_upload_never_takes_the_place_of_a_file(
    client: httpx.Client, release: SmallRelease, record: bytes
) -> None:
    assert upload(client, "one.wav", record).status_code == 201
    for name in ("one.wav", "ONE.WAV"):
        answered = upload(client, name, write(release.folder / "x.wav", music(0.5)).read_bytes())
        assert answered.status_code == 422
        assert "is there already; allowed: another name" in answered.json()["error"]
    assert (release.folder / "references/one.wav").read_bytes() == record


@pytest.mark.parametrize("what", ["text", "nothing", "half"])
def test_an_upload_that_is_no_whole_sound_leaves_nothing(
    client: httpx.Client, release: SmallRelease, record: bytes, what: str
) -> None:
    data = {"text": b"schema = 1\n" * 100, "nothing": b"", "half": record[: len(record) // 2]}[what]
    answered = upload(client, "one.wav", data)
    assert answered.status_code == 422
    assert answered.json()["error"].startswith("one.wav: ")
    assert "arsis-part" not in answered.json()["error"]
    assert there(release) == []


def test_an_upload_that_breaks_off_leaves_nothing(desk: Served, release: SmallRelease, record: bytes) -> None:
    host, port = desk.origin.removeprefix("http://").split(":")
    with socket.create_connection((host, int(port))) as line:
        head = f"PUT /api/references/one.wav HTTP/1.1\r\nHost: {host}:{port}\r\n"
        head += f"Authorization: Bearer {desk.token}\r\nContent-Length: {len(record)}\r\n\r\n"
        line.sendall(head.encode() + record[: len(record) // 2])
        _wait_for(lambda: bool(there(release)))
    _wait_for(lambda: not there(release))


def _wait_for(holds: Callable[[], bool]) -> None:
    end = time.monotonic() + 30.0
    while not holds():
        assert time.monotonic() < end
        time.sleep(0.01)


@pytest.mark.parametrize("link", ["references", "references/one.wav"])
def test_an_upload_goes_through_no_link(
    client: httpx.Client, release: SmallRelease, record: bytes, outside: Path, link: str
) -> None:
    path = release.folder / link
    path.parent.mkdir(exist_ok=True)
    path.symlink_to(outside / "one.wav" if link.endswith("wav") else outside)
    answered = upload(client, "one.wav", record)
    assert answered.status_code == 422
    assert LEADS_OUT in answered.json()["error"]
    assert list(outside.iterdir()) == []
