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
    """Short songs with a limiter that works, and a profile that makes all kinds of jobs."""
    (folder / "songs").mkdir(parents=True)
    (folder / "profiles").mkdir()
    profile = PROFILE.format(container=container, more=more)
    (folder / "profiles/quick.toml").write_text(profile, encoding="utf-8")
    entries = []
    for number in range(songs):
        write(folder / f"mixes/{number}.wav", np.clip(3.0 * music(seconds, seed=number), -1.0, 1.0))
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


def killed_after(folder: Path, jobs: int, seconds: float) -> bool:
    """Whether the command was killed, and had not ended by then."""
    process = subprocess.Popen(
        command(folder, jobs),
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        env=without_pdf(folder),
    )
    try:
        process.wait(seconds)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()
        return True
    assert process.returncode == 0
    return False


def killed_often(tmp_path: Path, folder: Path, times: int, jobs: tuple[int, ...], seed: int) -> None:
    """Kills at random moments from the first to the last of an undisturbed run; each next command goes on
    with what the one before left. One that gets to its end is compared and begun again from nothing."""
    whole = tmp_path / "undisturbed" / folder.name
    shutil.copytree(folder, whole)
    started = time.monotonic()
    assert run(whole, jobs[0]).returncode == 0
    lasts_s = time.monotonic() - started
    expected = digests(whole / "deliveries/quick")
    moments, killed = random.Random(seed), 0
    for number in range(20 * times):
        if killed == times:
            break
        now = jobs[number % len(jobs)]
        if killed_after(folder, now, moments.uniform(0.15, 1.0) * lasts_s):
            killed += 1
            target = folder / "deliveries/quick"
            assert not target.exists() or digests(target) == expected
            continue
        assert digests(folder / "deliveries/quick") == expected
        assert not staging_of(folder / "deliveries/quick").exists()
        shutil.rmtree(folder / "deliveries")
    assert killed == times
    ended = run(folder, jobs[0])
    assert ended.returncode == 0, ended.stderr
    assert digests(folder / "deliveries/quick") == expected
    assert not staging_of(folder / "deliveries/quick").exists()


def test_killed_at_twenty_random_moments_the_bytes_are_those_of_an_undisturbed_run(tmp_path: Path) -> None:
    folder = make_release(tmp_path / "short", songs=3, seconds=4.0)
    killed_often(tmp_path, folder, times=20, jobs=(1, 2), seed=5)


@pytest.mark.soak
@pytest.mark.timeout(3600)
@pytest.mark.parametrize(
    ("container", "more"),
    [("wav", ""), ("mp3", "kbps = 320.0\nrate_hz = 44100"), ("opus", "kbps = 192.0\nrate_hz = 48000")],
)
def test_killed_two_hundred_times(container: str, more: str, tmp_path: Path) -> None:
    folder = make_release(tmp_path / "short", songs=6, seconds=6.0, container=container, more=more)
    killed_often(tmp_path, folder, times=200, jobs=(1, 2), seed=11)


def wait_for_words(folder: Path, process: subprocess.Popen[str]) -> None:
    """Until the first song's words are on the disk: work is going on then."""
    jobs = staging_of(folder / "deliveries/quick") / "jobs"
    for _ in range(2_000):
        if list(jobs.glob("*.json")):
            return
        assert process.poll() is None, process.communicate()
        time.sleep(0.005)
    raise AssertionError("no job was ever done")


def children_of(pid: int) -> list[int]:
    return [int(child) for child in Path(f"/proc/{pid}/task/{pid}/children").read_text().split()]


def gone(pid: int) -> bool:
    status = Path(f"/proc/{pid}/status")
    return not status.exists() or bool(re.search(r"State:\s+Z", status.read_text(encoding="utf-8")))


@pytest.mark.parametrize(
    ("how", "status"), [(signal.SIGINT, 130), (signal.SIGTERM, 143), (signal.SIGKILL, -9)]
)
@pytest.mark.parametrize("jobs", [1, 2])
def test_a_stopped_delivery_leaves_no_process_and_goes_on(
    how: signal.Signals, status: int, jobs: int, tmp_path: Path
) -> None:
    folder = make_release(tmp_path / "short", songs=6, seconds=6.0, container="wav")
    process = subprocess.Popen(
        command(folder, jobs),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=without_pdf(folder),
    )
    wait_for_words(folder, process)
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


def test_ctrl_c_reaches_every_process_of_a_terminal_and_is_said_once(tmp_path: Path) -> None:
    folder = make_release(tmp_path / "short", songs=6, seconds=6.0, container="wav")
    process = subprocess.Popen(
        command(folder, 2),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=without_pdf(folder),
        start_new_session=True,
    )
    wait_for_words(folder, process)
    os.killpg(process.pid, signal.SIGINT)
    out, err = process.communicate(timeout=60)
    assert (process.returncode, out) == (130, "")
    assert err.strip().count("\n") == 0
    assert "Traceback" not in err


def test_a_worker_that_is_killed_is_one_message(tmp_path: Path) -> None:
    folder = make_release(tmp_path / "short", songs=6, seconds=6.0, container="wav")
    process = subprocess.Popen(
        command(folder, 2),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=without_pdf(folder),
    )
    wait_for_words(folder, process)
    for child in children_of(process.pid):
        if "spawn_main" in Path(f"/proc/{child}/cmdline").read_text(encoding="utf-8"):
            os.kill(child, signal.SIGKILL)
            break
    out, err = process.communicate(timeout=60)
    assert process.returncode == 2
    assert out == ""
    assert "was ended by the system, perhaps for want of memory; what is finished is kept" in err
    assert "Traceback" not in err
    assert run(folder, 1).returncode == 0
