"""`arsis desk` as a process: its address, its end, and what it refuses."""

from __future__ import annotations

import os
import re
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx
import pytest

from arsis.desk.serve import serve
from arsis.errors import ArsisError
from tests.releases import SmallRelease


def command(folder: Path, *more: str) -> list[str]:
    return [sys.executable, "-m", "arsis", "desk", str(folder), "--no-browser", *more]


@contextmanager
def desk_process(folder: Path, *more: str) -> Iterator[tuple[subprocess.Popen[str], str]]:
    """The process and the address that it printed."""
    pipe = subprocess.PIPE
    with subprocess.Popen(command(folder, *more), stdout=pipe, stderr=pipe, text=True) as process:
        assert process.stdout is not None
        try:
            line = process.stdout.readline()
            yield process, line.removeprefix("the desk: ").strip()
        finally:
            process.kill()


def free_port() -> int:
    with socket.create_server(("127.0.0.1", 0)) as listener:
        return int(listener.getsockname()[1])


@pytest.mark.parametrize("ending", [signal.SIGTERM, signal.SIGINT])
def test_it_ends_at_once_and_well_though_pages_listen_and_jobs_run(
    release: SmallRelease, ending: signal.Signals
) -> None:
    """A page's event stream never ends by itself; a delivery of its own processes is at work."""
    with desk_process(release.folder) as (process, address):
        assert re.fullmatch(r"http://127\.0\.0\.1:\d+/\?token=[\w-]{43}", address), address
        with httpx.Client(base_url=address.partition("/?")[0], timeout=30.0) as client:
            client.headers["authorization"] = f"Bearer {address.partition('token=')[2]}"
            with client.stream("GET", "/api/events") as events:
                heard = events.iter_lines()
                assert any(line == "event: hello" for line in heard)
                job = client.post("/api/jobs", json={"kind": "deliver", "profile": "hires"})
                assert job.status_code == 202, job.text
                process.send_signal(ending)
                for _ in heard:
                    pass
        assert process.wait(timeout=60) == 0
        assert process.stderr is not None
        assert process.stderr.read() == ""
    assert not list(release.folder.rglob("*.arsis-part"))
    assert not _children_left(process.pid)


def _children_left(parent: int) -> list[str]:
    """Processes of the desk's that are still there a little later."""
    for _ in range(50):
        left = [line for line in _processes() if f"parent_pid={parent}" in line]
        if not left:
            return []
        time.sleep(0.1)
    return left


def _processes() -> Iterator[str]:
    for found in Path("/proc").glob("[0-9]*/cmdline"):
        try:
            yield found.read_bytes().replace(b"\0", b" ").decode(errors="replace")
        except OSError:
            continue


def test_it_serves_this_machine_alone(release: SmallRelease) -> None:
    port = free_port()
    with desk_process(release.folder, "--port", str(port)) as (_, address):
        assert address.startswith(f"http://127.0.0.1:{port}/")
        assert httpx.get(address.partition("?")[0]).status_code == 403
        # Every address of 127.0.0.0/8 is this machine; it listens at one of them.
        with pytest.raises(OSError):
            socket.create_connection(("127.0.0.2", port), timeout=2.0)
        second = subprocess.run(
            command(release.folder, "--port", str(port)), capture_output=True, text=True, timeout=60
        )
        assert second.returncode == 2
        assert second.stderr == (
            f"arsis: --port {port}: address already in use; allowed: another one, or none for a free one\n"
        )


def test_what_is_no_release_is_refused(tmp_path: Path) -> None:
    file, empty, broken = tmp_path / "file", tmp_path / "empty", tmp_path / "broken"
    file.write_text("x")
    empty.mkdir()
    broken.mkdir()
    (broken / "release.toml").write_text("schema = 1\ntitel = 'x'\n")
    for folder, why in (
        (tmp_path / "nothing", "no release: it has no release.toml"),
        (file, "no release: it has no release.toml"),
        (broken, "titel"),
    ):
        said: list[str] = []
        with pytest.raises(ArsisError, match=why) as refused:
            serve(folder, None, False, said.append)
        assert str(refused.value).startswith(os.path.realpath(folder))
        assert said == []
    done = subprocess.run(command(empty), capture_output=True, text=True, timeout=60)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr == (
        f"arsis: {os.path.realpath(empty)}: no release: it has no release.toml; `arsis start` makes one\n"
    )
