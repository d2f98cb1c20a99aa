"""Every fault of a request, a document or a file: one clear message, status 2, nothing written or lost."""

from __future__ import annotations

import os
import resource
import signal
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest
import soundfile
from click.testing import CliRunner, Result

import arsis
from arsis.cli.main import main
from arsis.io.digest import sha256_of
from tests.releases import RATE_HZ, UNTOUCHED, SmallRelease, write
from tests.signals import noise

# Wherever the arsis under test lies: installed, or built for the sanitizers.
HOME = Path(arsis.__file__).parents[1]


def arsis(*words: object) -> Result:
    return CliRunner().invoke(main, [str(word) for word in words])


def environment() -> dict[str, str]:
    return os.environ | {"PYTHONPATH": str(HOME), "OPENBLAS_NUM_THREADS": "1"}


def process(*words: object, **options: object) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "arsis", *map(str, words)]
    return subprocess.run(command, capture_output=True, text=True, env=environment(), timeout=60, **options)


def snapshot(folder: Path) -> dict[str, str]:
    """Everything in a folder, by its path."""
    return {
        str(path.relative_to(folder)): "folder" if path.is_dir() else sha256_of(path)
        for path in sorted(folder.rglob("*"))
    }


def refused(result: Result, *said: str) -> None:
    assert result.exit_code == 2, result.output
    assert isinstance(result.exception, SystemExit), "a traceback"
    assert result.stdout == ""
    lines = result.stderr.strip().splitlines()
    assert len(lines) == 1, "one message"
    for words in said:
        assert words in lines[0]


def bad_files(folder: Path) -> dict[str, tuple[Path, str]]:
    whole = write(folder / "whole.wav", noise(RATE_HZ)).read_bytes()
    text, empty, cut, head = (folder / f"{name}.wav" for name in ("text", "empty", "cut", "head"))
    text.write_text("no sound")
    empty.touch()
    cut.write_bytes(whole[: len(whole) // 2])
    head.write_bytes(whole[:30])
    nothing = folder / "nothing.wav"
    soundfile.write(nothing, np.zeros((0, 2)), RATE_HZ)
    unfinite = {}
    for name, value in (("nan", np.nan), ("inf", np.inf)):
        sound = noise(RATE_HZ)
        sound[1, 20_000] = value
        unfinite[name] = write(folder / f"{name}.wav", sound, "FLOAT")
    six = write(folder / "six.wav", noise(RATE_HZ, channels=6))
    (folder / "folder.wav").mkdir()
    os.mkfifo(folder / "pipe.wav")
    return {
        "not sound": (text, "is not a sound file"),
        "empty": (empty, "is empty"),
        "truncated": (cut, "truncated"),
        "header": (head, "truncated"),
        "no frames": (nothing, "zero frames"),
        "nan": (unfinite["nan"], "0.4535"),  # 20,000 / 44,100 s
        "inf": (unfinite["inf"], "0.4535"),
        "channels": (six, "6 channels"),
        "folder": (folder / "folder.wav", "is a folder"),
        "pipe": (folder / "pipe.wav", "named pipe"),
        "missing": (folder / "missing.wav", "no such file"),
        "under a file": (text / "sound.wav", "cannot be read"),
    }


@pytest.mark.parametrize("command", ["measure", "sections", "contour"])
def test_bad_sound_is_refused_by_every_reader(command: str, tmp_path: Path) -> None:
    for name, (path, said) in bad_files(tmp_path).items():
        result = arsis(command, path)
        assert said in result.stderr, name
        refused(result, str(path))


def test_bad_sound_starts_no_release(tmp_path: Path, release: SmallRelease) -> None:
    for path, said in bad_files(tmp_path).values():
        refused(arsis("start", tmp_path / "new", release.mix, path), said)
        assert not (tmp_path / "new").exists()


def test_bad_sound_is_not_compared(tmp_path: Path, release: SmallRelease) -> None:
    for path, said in bad_files(tmp_path).values():
        refused(arsis("compare", release.mix, path), said)


def test_a_bad_mix_leaves_no_print(tmp_path: Path, release: SmallRelease) -> None:
    release.set_plan(UNTOUCHED)
    made = bad_files(tmp_path)
    for name in ("not sound", "empty", "truncated", "nan", "inf", "channels"):
        path, said = made[name]
        release.mix.write_bytes(path.read_bytes())
        before = snapshot(release.folder)
        refused(arsis("print", release.plan), said)
        assert snapshot(release.folder) == before, name


PLAN_FAULTS = {
    "out of order": ("start_s = 4.000000", "start_s = 1.500000", "section"),
    "past the end": ("start_s = 5.500000", "start_s = 7.100000", "7.1"),
    "unknown pass": ('pass = "C"', 'pass = "D"', '"D"'),
    "unknown key": ("ride_db = 0.4", "rides_db = 0.4", "rides_db"),
    "wrong type": ("ride_db = 0.4", 'ride_db = "loud"', "ride_db"),
    "out of range": ("ride_db = 0.4", "ride_db = 40.0", "40"),
    "nan": ("ride_db = 0.4", "ride_db = nan", "ride_db"),
    "unknown kind": ('kind = "low_shelf"', 'kind = "enhancer"', "enhancer"),
    "not TOML": ("[finish]", "[finish", "TOML"),
    "mix missing": ("mixes/small-hours.wav", "mixes/gone.wav", "no such file"),
    "mix outside": ("mixes/small-hours.wav", "../../small-hours.wav", "mix"),
    "print missing": ("prints/small-hours-bridge.wav", "prints/gone.wav", "no such file"),
    "new schema": ("schema = 1", "schema = 99", "99"),
}


@pytest.mark.parametrize("name", PLAN_FAULTS)
@pytest.mark.parametrize("command", ["print", "contour", "report"])
def test_a_plan_at_fault_is_said_and_nothing_is_written(
    command: str, name: str, release: SmallRelease
) -> None:
    old, new, said = PLAN_FAULTS[name]
    release.change(old, new)
    before = snapshot(release.folder)
    refused(arsis(command, release.plan), said)
    after = snapshot(release.folder)
    after.pop("reports", None)  # the empty folder that the report would have gone to
    assert after == before


@pytest.mark.parametrize("command", [["print"], ["contour"], ["sections"], ["report"], ["keep", "-m", "x"]])
def test_a_plan_that_cannot_be_read(command: list[str], tmp_path: Path) -> None:
    name, *options = command
    os.mkfifo(tmp_path / "pipe.toml")
    (tmp_path / "folder.toml").mkdir()
    (tmp_path / "bytes.toml").write_bytes(b"\xff\xfe\x00")
    (tmp_path / "file").touch()
    for path in ("pipe.toml", "folder.toml", "bytes.toml", "missing.toml", "file/plan.toml"):
        refused(arsis(name, tmp_path / path, *options), path)
    assert sorted(os.listdir(tmp_path)) == ["bytes.toml", "file", "folder.toml", "pipe.toml"]


def test_a_sound_file_is_no_plan(release: SmallRelease) -> None:
    refused(arsis("print", release.mix), "not a plan")


def test_a_changed_mix_is_refused(release: SmallRelease) -> None:
    sound, rate_hz = soundfile.read(release.mix)
    write(release.mix, sound.T * 0.5, rate_hz=rate_hz)
    before = snapshot(release.folder)
    refused(arsis("print", release.plan), "SHA-256", sha256_of(release.mix))
    assert snapshot(release.folder) == before


def test_a_print_of_something_else_is_refused(release: SmallRelease) -> None:
    write(release.outboard, noise(7 * RATE_HZ, seed=9))
    before = snapshot(release.folder)
    refused(arsis("print", release.plan), "small-hours-bridge.wav", "not a print of small-hours.wav")
    assert snapshot(release.folder) == before


REQUESTS = {
    "unknown pass": (["--pass", "Z"], "A, B, C"),
    "no rate": (["--rate", "0"], "8000 to 384000"),
    "low rate": (["--rate", "7999"], "8000 to 384000"),
    "high rate": (["--rate", "384001"], "8000 to 384000"),
    "unknown ending": (["--out", "OUT/song.mp3"], ".wav, .aiff, .flac"),
    "no ending": (["--out", "OUT/song"], ".wav, .aiff, .flac"),
    "no folder": (["--out", "OUT/gone/song.wav"], "gone"),
    "file for a folder": (["--out", "OUT/release.toml/song.wav"], "release.toml"),
    "a folder": (["--out", "OUT/folder.wav"], "is a folder"),
    "the mix": (["--out", "OUT/mixes/small-hours.wav"], "the mix itself"),
    "the mix, roundabout": (["--out", "OUT/songs/../mixes/small-hours.wav"], "the mix itself"),
    "the mix by a link": (["--out", "OUT/link.wav"], "the mix itself"),
    "among the mixes": (["--out", "OUT/mixes/new.wav"], "among the mixes"),
    "the outboard print": (["--out", "OUT/prints/small-hours-bridge.wav"], "pass C"),
    "too long a word": (["--out", "OUT/song.flac", "--bits", "32"], "flac"),
}


@pytest.mark.parametrize("name", REQUESTS)
def test_a_print_that_cannot_be_asked_for(name: str, release: SmallRelease) -> None:
    (release.folder / "folder.wav").mkdir()
    (release.folder / "link.wav").symlink_to(release.mix)
    options, said = REQUESTS[name]
    before = snapshot(release.folder)
    refused(arsis("print", release.plan, *(o.replace("OUT", str(release.folder)) for o in options)), said)
    assert snapshot(release.folder) == before


def test_an_unknown_word_or_option_shows_what_is_allowed(release: SmallRelease) -> None:
    for words, said in (
        (("print", release.plan, "--bits", "20"), "'16', '24', '32', '32f'"),
        (("print", release.plan, "--rate", "fast"), "not a valid integer"),
        (("print",), "SONG"),
        (("sing", release.plan), "No such command"),
    ):
        result = arsis(*words)
        assert (result.exit_code, result.stdout) == (2, "")
        assert said in result.stderr


def test_a_default_print_never_covers_the_outboard_print(release: SmallRelease) -> None:
    release.outboard.rename(release.default_print)
    release.change("prints/small-hours-bridge.wav", "prints/small-hours.wav")
    refused(arsis("print", release.plan), "pass C")


def test_a_report_covers_nothing_but_a_page(release: SmallRelease) -> None:
    before = snapshot(release.folder)
    refused(arsis("report", release.plan, "--out", release.mix), ".html")
    refused(arsis("report", release.plan, "--out", release.folder / "gone" / "page.html"), "gone")
    assert snapshot(release.folder) == before


def test_start_refuses_what_would_lose_something(release: SmallRelease, tmp_path: Path) -> None:
    before = snapshot(release.folder)
    refused(arsis("start", release.folder, release.mix), "holds a release already")
    twin = write(tmp_path / "elsewhere" / "small-hours.wav", noise(RATE_HZ))
    refused(arsis("start", tmp_path / "new", release.mix, twin), "two mixes are called small-hours")
    assert not (tmp_path / "new").exists()
    (release.folder / "release.toml").unlink()
    refused(arsis("start", release.folder, twin), "is there already")
    del before["release.toml"]
    assert snapshot(release.folder) == before
    (tmp_path / "file").touch()
    refused(arsis("start", tmp_path / "file", twin), "cannot be written")
    refused(arsis("start", tmp_path / "file" / "new", twin), "cannot be written")


def test_revisions_that_are_not_there(release: SmallRelease, tmp_path: Path) -> None:
    refused(arsis("diff", release.plan, 1), "no revision 1", "none yet")
    refused(arsis("revisions", tmp_path / "gone.toml"), "no such plan")
    refused(arsis("contour", release.folder / "release.toml"), "is the release, not a song's plan")
    arsis("keep", release.plan, "-m", "first")
    (release.folder / "revisions" / "small-hours" / "0001.toml").write_text("schema = 1\n")
    refused(arsis("diff", release.plan, 1), "changed since it was kept")


def small_files_only() -> None:
    """A disk that is full after 200 kB."""
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (200_000, 200_000))


def test_a_full_disk_keeps_the_old_print(release: SmallRelease) -> None:
    release.default_print.write_bytes(b"the old print")
    before = snapshot(release.folder)
    done = process("print", release.plan, preexec_fn=small_files_only)
    assert done.returncode == 2
    assert done.stderr.count("\n") == 1
    assert "cannot be written: file too large; nothing was changed" in done.stderr
    assert snapshot(release.folder) == before


def printing(release: SmallRelease) -> subprocess.Popen[str]:
    """A print of a long song, caught while it is being written."""
    sound, rate_hz = soundfile.read(release.mix)
    write(release.mix, np.tile(sound.T, 40), rate_hz=rate_hz)
    plan = release.plan.read_text(encoding="utf-8").splitlines()
    kept = [line for line in plan if not line.startswith("mix_sha256")]
    release.set_plan("\n".join(kept).replace('pass = "C"', 'pass = "B"'))
    release.default_print.write_bytes(b"the old print")
    command = [sys.executable, "-m", "arsis", "print", str(release.plan)]
    child = subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=environment()
    )
    while not parts(release):
        assert child.poll() is None, "it was done before it could be stopped"
        time.sleep(0.005)
    return child


def parts(release: SmallRelease) -> list[Path]:
    return list(release.default_print.parent.glob(".*part*"))


@pytest.mark.parametrize(("how", "status"), [(signal.SIGINT, 130), (signal.SIGTERM, 143)])
def test_a_stopped_print_leaves_the_old_one(how: signal.Signals, status: int, release: SmallRelease) -> None:
    child = printing(release)
    child.send_signal(how)
    out, err = child.communicate(timeout=60)
    assert (child.returncode, out) == (status, "")
    assert err.strip() == "stopped: nothing half-written is left; the same command starts again"
    assert release.default_print.read_bytes() == b"the old print"
    assert not parts(release)


def test_a_killed_print_leaves_the_old_one_and_the_next_cleans_up(release: SmallRelease) -> None:
    child = printing(release)
    child.kill()
    child.communicate(timeout=60)
    assert child.returncode == -signal.SIGKILL
    assert release.default_print.read_bytes() == b"the old print"
    assert parts(release)
    assert arsis("print", release.plan).exit_code == 0
    assert not parts(release)
    assert soundfile.info(release.default_print).frames == soundfile.info(release.mix).frames


def test_a_reader_that_has_gone_is_no_traceback(release: SmallRelease) -> None:
    reading, writing = os.pipe()
    os.close(reading)
    command = [sys.executable, "-m", "arsis", "measure", str(release.mix), "--json"]
    done = subprocess.run(
        command, stdout=writing, stderr=subprocess.PIPE, text=True, env=environment(), timeout=60
    )
    os.close(writing)
    assert (done.returncode, done.stderr) == (141, "")


@pytest.mark.skipif(os.geteuid() == 0, reason="root may read everything")
def test_a_file_that_may_not_be_read(release: SmallRelease) -> None:
    release.mix.chmod(0)
    refused(arsis("measure", release.mix), "permission denied")
