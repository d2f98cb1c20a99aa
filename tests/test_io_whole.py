"""A file appears whole or not at all, whatever happens meanwhile."""

from __future__ import annotations

import errno
import os
import signal
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

import arsis
from arsis.errors import ArsisError, SoundFileError
from arsis.io.read import open_sound, read_all
from arsis.io.whole import replace_whole, write_bytes_whole, write_text_whole
from arsis.io.write import ENCODINGS, write_sound
from tests.sound_files import words

CONTAINERS = tuple(ENCODINGS)

# Says when the first half is written, then waits to be stopped.
HALF_WAY = """
import sys, time
import numpy as np
from arsis.io.write import write_sound
with write_sound(sys.argv[1], 48_000, 2, "pcm_s24", sys.argv[2]) as writer:
    writer.write(np.ones((2, 200_000), np.int32))
    print("half way", flush=True)
    time.sleep(60)
"""

SMALL_DISK = """
import resource, sys
import numpy as np
from arsis.errors import SoundFileError
from arsis.io.write import write_sound
resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv[3]), int(sys.argv[3])))
try:
    with write_sound(sys.argv[1], 48_000, 2, "pcm_s24", sys.argv[2]) as writer:
        writer.write(np.random.default_rng(1).integers(-2**23, 2**23, (2, 30_000)).astype(np.int32))
except SoundFileError as fault:
    print(fault)
"""


def start(program: str, *arguments: str | Path) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-c", program, *map(str, arguments)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": str(Path(arsis.__file__).parents[1])},
    )


def names(folder: Path) -> list[str]:
    return sorted(entry.name for entry in folder.iterdir())


@pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGKILL])
@pytest.mark.parametrize("container", CONTAINERS)
def test_a_stopped_process_leaves_the_old_file(tmp_path: Path, container: str, how: signal.Signals) -> None:
    path = tmp_path / "song"
    path.write_bytes(b"the old file")
    with start(HALF_WAY, path, container) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == "half way\n"
        assert len(names(tmp_path)) == 2
        process.send_signal(how)
        process.wait()
    assert path.read_bytes() == b"the old file"
    left = [name for name in names(tmp_path) if name != "song"]
    assert len(left) == (1 if how == signal.SIGKILL else 0)
    assert all(name.startswith(".song.") for name in left)
    write_bytes_whole(tmp_path / "song.2", b"another file's write clears nothing of it")
    assert len(names(tmp_path)) == 2 + len(left)
    write_bytes_whole(path, b"the next write to the same file does")
    assert names(tmp_path) == ["song", "song.2"]


def test_the_part_of_a_living_process_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "song"
    with start(HALF_WAY, path, "wav") as process:
        assert process.stdout is not None
        process.stdout.readline()
        write_bytes_whole(path, b"meanwhile")
        assert len(names(tmp_path)) == 2
        process.kill()
    with replace_whole(path) as outer:
        outer.write(b"outer")
        write_bytes_whole(path, b"inner")
    assert path.read_bytes() == b"outer"
    assert names(tmp_path) == ["song"]


def test_a_file_system_without_locks_is_written_to(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Some network and user-space file systems refuse flock(2) with ENOLCK or EOPNOTSUPP."""
    fcntl = pytest.importorskip("fcntl")

    def refuse(*_: object) -> None:
        raise OSError(errno.EOPNOTSUPP, os.strerror(errno.EOPNOTSUPP))

    monkeypatch.setattr(fcntl, "flock", refuse)
    write_bytes_whole(tmp_path / "song", b"first")
    (tmp_path / ".song.c.arsis-part").write_bytes(b"of somebody who may be alive")
    write_bytes_whole(tmp_path / "song", b"second")
    assert (tmp_path / "song").read_bytes() == b"second"
    assert names(tmp_path) == [".song.c.arsis-part", "song"]


@pytest.mark.parametrize("container", CONTAINERS)
@pytest.mark.parametrize("share", [0.005, 0.5, 0.999])
def test_a_full_disk_is_one_clear_message(tmp_path: Path, container: str, share: float) -> None:
    """The system refuses to let the file grow: at its head, in its middle, at its very end."""
    path = tmp_path / "song"
    path.write_bytes(b"the old file")
    with start(SMALL_DISK, path, container, str(int(share * 30_000 * 6))) as process:
        said, complaint = process.communicate()
    assert complaint == ""
    assert said.startswith(f"{path}: cannot be written: ")
    assert said.count("\n") == 1
    assert path.read_bytes() == b"the old file"
    assert names(tmp_path) == ["song"]


def test_no_space_left_is_said_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(handle: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    with (
        pytest.raises(SoundFileError, match="no space left on device; nothing was changed"),
        write_sound(tmp_path / "song.wav", 48_000, 2) as writer,
    ):
        writer.write(words(100, 24))
    with pytest.raises(ArsisError, match="no space left"):
        write_text_whole(tmp_path / "plan.toml", "schema = 1\n")
    assert names(tmp_path) == []


@pytest.mark.parametrize("fault", [KeyboardInterrupt, RuntimeError, SystemExit])
@pytest.mark.parametrize("container", CONTAINERS)
def test_any_exception_leaves_nothing(tmp_path: Path, container: str, fault: type[BaseException]) -> None:
    def stopped() -> None:
        with write_sound(tmp_path / "song", 48_000, 2, "pcm_s16", container) as writer:
            writer.write(words(30_000, 16))
            raise fault

    with pytest.raises(fault):
        stopped()
    assert names(tmp_path) == []


def test_a_fault_of_another_file_is_not_taken_for_this_one(tmp_path: Path) -> None:
    with pytest.raises(BrokenPipeError), replace_whole(tmp_path / "song"):
        raise BrokenPipeError
    assert names(tmp_path) == []


def test_what_is_no_plain_file_is_not_replaced(tmp_path: Path) -> None:
    (tmp_path / "folder").mkdir()
    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(ArsisError, match="is a folder; give the name of a file"):
        write_text_whole(tmp_path / "folder", "x")
    with pytest.raises(SoundFileError, match="is a folder"), write_sound(tmp_path / "folder", 48_000, 2):
        pass
    for path in (tmp_path / "pipe", Path("/dev/null")):
        with pytest.raises(ArsisError, match="is not a plain file, so it is not replaced"):
            write_text_whole(path, "x")
    with pytest.raises(ArsisError, match="cannot be written: no such file or directory"):
        write_text_whole(tmp_path / "missing" / "plan.toml", "x")
    assert names(tmp_path) == ["folder", "pipe"]


def test_mode_and_links_are_kept(tmp_path: Path) -> None:
    plain, link = tmp_path / "plan.toml", tmp_path / "link.toml"
    write_text_whole(plain, "a = 'ä'\r\n")
    assert plain.read_bytes() == "a = 'ä'\r\n".encode()
    umask = os.umask(0)
    os.umask(umask)
    assert plain.stat().st_mode & 0o777 == 0o666 & ~umask
    plain.chmod(0o640)
    link.symlink_to("plan.toml")
    write_text_whole(link, "b = 2\n")
    assert plain.read_text() == "b = 2\n"
    assert plain.stat().st_mode & 0o7777 == 0o640
    assert link.is_symlink()


def test_a_mix_may_be_replaced_while_it_is_read(tmp_path: Path) -> None:
    """A reader keeps the file it opened: the new one comes under the same name, not over the same bytes."""
    old, new = words(40_000, 24, seed=1), words(40_000, 24, seed=2)
    path = tmp_path / "song.wav"
    for block in (old, new):
        with write_sound(path, 48_000, 2) as writer:
            writer.write(block)
        if block is old:
            reader = open_sound(path)
    with reader:
        assert np.array_equal(reader.read(40_000), old / 2.0**23)
    assert np.array_equal(read_all(path), new / 2.0**23)


def test_the_longest_name_is_no_obstacle(tmp_path: Path) -> None:
    for name in ("a" * 255, "\N{MUSICAL SYMBOL G CLEF}" * 63):
        write_text_whole(tmp_path / name, "x")
        assert (tmp_path / name).read_text() == "x"
    with pytest.raises(ArsisError, match="cannot be written: file name too long"):
        write_text_whole(tmp_path / ("a" * 256), "x")
