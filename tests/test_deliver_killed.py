"""Law 9 over a whole delivery: however it is stopped, the same command goes on, to the same bytes."""

from __future__ import annotations

import os
import random
import re
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Set
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

from arsis.deliver.staging import staging_of

from .no_pdf import plain_environment
from .releases import UNTOUCHED, music, write
from .test_deliver import DATE, digests

PROFILE = """\
schema = 1
name = "quick"
container = "{container}"
{more}
assembly = true
"""
FINISH = (
    "\n[finish]\nlimiter = { ceiling_dbtp = -1.0, lookahead_ms = 3.0, release_ms = 120.0, most_db = 24.0 }\n"
)


def make_release(folder: Path, songs: int, seconds: float, container: str = "flac", more: str = "") -> Path:
    """Songs with a limiter that works, and a profile that makes all kinds of jobs."""
    (folder / "songs").mkdir(parents=True)
    (folder / "profiles").mkdir()
    profile = PROFILE.format(container=container, more=more)
    (folder / "profiles/quick.toml").write_text(profile, encoding="utf-8")
    entries = []
    for number in range(songs):
        part = np.clip(3.0 * music(4.0, seed=number), -1.0, 1.0)
        write(folder / f"mixes/{number}.wav", np.tile(part, round(seconds / 4.0)))
        plan = UNTOUCHED.replace("small-hours", str(number)).replace("Small Hours", f"Song {number}")
        (folder / f"songs/{number}.toml").write_text(plan + FINISH, encoding="utf-8")
        entries.append(f'[[song]]\nplan = "songs/{number}.toml"\ngap_s = 0.1\n')
    text = 'schema = 1\ntitle = "Short"\nartist = "The Lamps"\n\n' + "\n".join(entries)
    (folder / "release.toml").write_text(text, encoding="utf-8")
    return folder


def command(folder: Path, jobs: int, profile: str = "quick") -> list[str]:
    words = ["deliver", str(folder), "--profile", profile, "--jobs", str(jobs), "--date", DATE]
    return [sys.executable, "-m", "arsis", *words]


def without_pdf(folder: Path) -> dict[str, str]:
    return plain_environment(folder.parent)


def run(folder: Path, jobs: int) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        command(folder, jobs),
        capture_output=True,
        text=True,
        env=without_pdf(folder),
        check=False,
        timeout=120,
    )


def start(folder: Path, jobs: int, **how: bool) -> subprocess.Popen[str]:
    return subprocess.Popen(
        command(folder, jobs),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=without_pdf(folder),
        **how,
    )


def finished_jobs(folder: Path) -> set[str]:
    """Of a delivery that was begun: what the same command need not do again."""
    return {path.name for path in (staging_of(folder / "deliveries/quick") / "jobs").glob("*.json")}


def wait_for_work(folder: Path, process: subprocess.Popen[str], before: Set[str] = frozenset()) -> bool:
    """Until one more job is finished: starting up is over then. False where the command ends without."""
    while process.poll() is None:
        if finished_jobs(folder) - before:
            return True
        time.sleep(0.002)
    return False


@dataclass(frozen=True, slots=True)
class Undisturbed:
    """A whole delivery: how long until its first job is finished, and from there to its end."""

    starts_s: float
    works_s: float
    status: int
    digests: dict[str, str]


def undisturbed(folder: Path, jobs: int) -> Undisturbed:
    begun_s = time.monotonic()
    process = start(folder, jobs)
    wait_for_work(folder, process)
    works_s = time.monotonic()
    process.communicate(timeout=120)
    ended_s = time.monotonic()
    assert process.returncode in (0, 3)  # 3: what a coder makes of the peaks is told
    made = digests(folder / "deliveries/quick")
    return Undisturbed(works_s - begun_s, ended_s - works_s, process.returncode, made)


def killed_often(tmp_path: Path, folder: Path, times: int, seed: int) -> None:
    """Kills at random moments; each next command goes on with what the one before left. One that gets to its
    end is compared and begun again from nothing. One kill in five falls into the start; the others come once
    a new job is finished, and within half of the work from there: a delivery is killed several times."""
    target, whole = folder / "deliveries/quick", {}
    for jobs in (1, 2):
        copy = tmp_path / f"undisturbed-{jobs}" / folder.name
        shutil.copytree(folder, copy)
        whole[jobs] = undisturbed(copy, jobs)
    expected, status = whole[1].digests, whole[1].status
    assert (whole[2].digests, whole[2].status) == (expected, status)
    moments, killed, went_on = random.Random(seed), 0, 0
    for number in range(20 * times):
        if killed == times:
            break
        jobs, before = 1 + number % 2, finished_jobs(folder)
        process = start(folder, jobs)
        if number % 5 == 0:
            wait_s = moments.uniform(0.15, 1.0) * whole[jobs].starts_s
        else:
            wait_for_work(folder, process, before)
            wait_s = moments.uniform(0.0, 0.5) * whole[jobs].works_s
        with suppress(subprocess.TimeoutExpired):
            process.communicate(timeout=wait_s)
        process.kill()
        process.communicate()
        if process.returncode == -signal.SIGKILL:
            killed += 1
            went_on += finished_jobs(folder) > before
            assert not target.exists() or digests(target) == expected
            continue
        assert process.returncode == status
        assert digests(target) == expected
        assert not staging_of(target).exists()
        shutil.rmtree(folder / "deliveries")
    assert killed == times
    assert went_on >= 0.4 * times  # four in five are meant to; one may also fall behind the last job
    assert run(folder, 1).returncode == status
    assert digests(target) == expected
    assert not staging_of(target).exists()


@pytest.fixture(scope="module")
def short(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A release of six short songs; nobody writes to it."""
    return make_release(tmp_path_factory.mktemp("pristine") / "short", songs=6, seconds=8.0, container="wav")


@pytest.fixture
def folder(short: Path, tmp_path: Path) -> Path:
    """Of that release, a test's own copy."""
    return shutil.copytree(short, tmp_path / "short")


def test_killed_at_twenty_random_moments_the_bytes_are_those_of_an_undisturbed_run(tmp_path: Path) -> None:
    folder = make_release(tmp_path / "short", songs=4, seconds=12.0)
    killed_often(tmp_path, folder, times=20, seed=5)


@pytest.mark.soak
@pytest.mark.timeout(3600)
@pytest.mark.parametrize(
    ("container", "more"),
    [("wav", ""), ("mp3", "kbps = 320.0\nrate_hz = 44100"), ("opus", "kbps = 192.0\nrate_hz = 48000")],
)
def test_killed_two_hundred_times(container: str, more: str, tmp_path: Path) -> None:
    folder = make_release(tmp_path / "short", songs=6, seconds=8.0, container=container, more=more)
    killed_often(tmp_path, folder, times=200, seed=11)


def children_of(pid: int) -> list[int]:
    return [int(child) for child in Path(f"/proc/{pid}/task/{pid}/children").read_text().split()]


def gone(pid: int) -> bool:
    """Ended, whether or not anybody has asked for its status; it may end while it is looked at."""
    try:
        status = Path(f"/proc/{pid}/status").read_text(encoding="utf-8")
    except (FileNotFoundError, ProcessLookupError):
        return True
    return bool(re.search(r"State:\s+Z", status))


def at_work(folder: Path, jobs: int, **how: bool) -> subprocess.Popen[str]:
    """A command whose first job is finished: more is going on then."""
    process = start(folder, jobs, **how)
    assert wait_for_work(folder, process), process.communicate()
    return process


@pytest.mark.parametrize(
    ("how", "status"), [(signal.SIGINT, 130), (signal.SIGTERM, 143), (signal.SIGKILL, -9)]
)
@pytest.mark.parametrize("jobs", [1, 2])
def test_a_stopped_delivery_leaves_no_process_and_goes_on(
    how: signal.Signals, status: int, jobs: int, folder: Path
) -> None:
    process = at_work(folder, jobs)
    children = children_of(process.pid)
    assert (len(children) >= 2) == (jobs > 1)
    process.send_signal(how)
    out, err = process.communicate(timeout=60)
    assert process.returncode == status
    assert out == ""
    if how != signal.SIGKILL:
        said = "what is finished is kept; the same command goes on from there"
        assert err.strip() == f"stopped: nothing half-written is left; {said}"
    for _ in range(400):
        if all(map(gone, children)):
            break
        time.sleep(0.01)
    assert all(map(gone, children))
    assert not (folder / "deliveries/quick").exists()
    ended = run(folder, 1)
    assert ended.returncode == 0, ended.stderr
    assert "going on with what was begun before" in ended.stderr


def test_ctrl_c_reaches_every_process_of_a_terminal_and_is_said_once(folder: Path) -> None:
    process = at_work(folder, 2, start_new_session=True)
    os.killpg(process.pid, signal.SIGINT)
    out, err = process.communicate(timeout=60)
    assert (process.returncode, out) == (130, "")
    assert err.strip().count("\n") == 0
    assert "Traceback" not in err


def test_a_worker_that_is_killed_is_one_message(folder: Path) -> None:
    process = at_work(folder, 2)
    worker = next(
        child
        for child in children_of(process.pid)
        if "spawn_main" in Path(f"/proc/{child}/cmdline").read_text(encoding="utf-8")
    )
    os.kill(worker, signal.SIGKILL)
    out, err = process.communicate(timeout=60)
    assert process.returncode == 2
    assert out == ""
    assert "was ended by the system, perhaps for want of memory; what is finished is kept" in err
    assert "Traceback" not in err
    assert run(folder, 1).returncode == 0
