"""Files that appear whole or not at all.

The new file grows beside the target under a dot-name, is flushed to the disk and then takes the
target's name in one step. A killed process leaves the old file as it was, and a part file that the
next write to the same target clears away.
"""

from __future__ import annotations

import contextlib
import hashlib
import io
import os
import secrets
import stat
from collections.abc import Callable, Iterator
from pathlib import Path

from arsis.errors import ArsisError

_PART = ".arsis-part"
_KEPT_OF_NAME = 50  # characters: four bytes each at most, so that the part's name fits where the file's does


class WholeFile:
    """A new file on its way. What the disk refuses is raised as one clear message.

    path: where it lies until it is whole.
    """

    def __init__(self, file: io.FileIO, path: Path, shown: str | Path, error: type[ArsisError]) -> None:
        self._file = file
        self.path = path
        self._shown = shown
        self._error = error

    def write(self, data: bytes | memoryview) -> None:
        """All of `data`: the system may take less than it is given."""
        left = memoryview(data)
        with self.faults():
            while left:
                left = left[self._file.write(left) or 0 :]

    def seek(self, position: int) -> None:
        self._file.seek(position)

    def fileno(self) -> int:
        return self._file.fileno()

    def sha256(self) -> str:
        """Of the bytes so far, read back."""
        self._file.seek(0)
        with self.faults():
            return hashlib.file_digest(self._file, "sha256").hexdigest()

    @contextlib.contextmanager
    def faults(self) -> Iterator[None]:
        """Turns a fault of the disk within the body into the file's own."""
        try:
            yield
        except OSError as fault:
            raise refused(self._shown, fault, self._error) from fault


def refused(shown: str | Path, fault: OSError, error: type[ArsisError]) -> ArsisError:
    """The fault of a file that cannot be written."""
    reason = (fault.strerror or str(fault)).lower()
    return error(f"{shown}: cannot be written: {reason}; nothing was changed")


def write_text_whole(path: str | Path, text: str) -> None:
    """Text as UTF-8, line ends as they are. Raises ArsisError where it cannot be written."""
    write_bytes_whole(path, text.encode())


def write_bytes_whole(path: str | Path, data: bytes) -> None:
    """Raises ArsisError where it cannot be written."""
    with replace_whole(path) as file:
        file.write(data)


@contextlib.contextmanager
def replace_whole(
    path: str | Path, error: type[ArsisError] = ArsisError, last_look: Callable[[], None] = lambda: None
) -> Iterator[WholeFile]:
    """A new file that takes the place of `path` when the body ends well, with the old one's mode.

    On any exception the new file is removed. `error` is raised where the disk or the folder is at
    fault; a link is followed, so that the file it points to is replaced and the link stays. `last_look`
    is called right before the place is taken; what it raises keeps the old file.
    """
    target = Path(os.path.realpath(path))
    mode = _mode_to_keep(target, path, error)
    parts: list[Path] = []  # names before files: a stop at any moment finds what to clear away
    try:
        try:
            _clear_parts(target)
            file = _new_part(target, parts)
        except OSError as fault:
            raise refused(path, fault, error) from fault
        with file:
            whole = WholeFile(file, parts[-1], path, error)
            yield whole
            with whole.faults():
                _commit(file, parts[-1], target, mode, last_look)
    except BaseException:
        for part in parts:
            with contextlib.suppress(OSError):
                part.unlink()
        raise


def _commit(
    file: io.FileIO, part: Path, target: Path, mode: int | None, last_look: Callable[[], None]
) -> None:
    if mode is not None:
        os.chmod(part, mode)
    os.fsync(file.fileno())
    if os.name == "nt":  # an open file cannot be renamed there
        file.close()
    last_look()
    os.replace(part, target)
    _sync_folder(target.parent)


def _mode_to_keep(target: Path, shown: str | Path, error: type[ArsisError]) -> int | None:
    try:
        mode = target.stat().st_mode
    except FileNotFoundError:
        return None
    except OSError as fault:
        raise refused(shown, fault, error) from fault
    if stat.S_ISDIR(mode):
        raise error(f"{shown}: is a folder; give the name of a file")
    if not stat.S_ISREG(mode):
        raise error(f"{shown}: is not a plain file, so it is not replaced")
    return stat.S_IMODE(mode)


def _new_part(target: Path, parts: list[Path]) -> io.FileIO:
    """A new file beside the target, held; its name is the last of `parts`."""
    while True:
        parts.append(target.with_name(f"{_start_of_part(target)}{secrets.token_hex(4)}{_PART}"))
        file = io.FileIO(parts[-1], "x+")
        try:
            is_ours = _hold(file) and parts[-1].exists()  # else another process cleared it before it was held
        except OSError:  # a file system without locks, where nobody clears what is not theirs
            is_ours = True
        if is_ours:
            return file
        file.close()


def _start_of_part(target: Path) -> str:
    return f".{target.name[:_KEPT_OF_NAME]}."


def _clear_parts(target: Path) -> None:
    """Removes what killed processes left; a part that is still held belongs to a living one."""
    for name in os.listdir(target.parent):
        if name.startswith(_start_of_part(target)) and name.endswith(_PART):
            left = target.with_name(name)
            with contextlib.suppress(OSError), io.FileIO(left, "r+") as file:
                if _hold(file):
                    left.unlink()


def _hold(file: io.FileIO) -> bool:
    """Locks the file for as long as it is open; the system lets go when the process dies.

    False where another holds it. Raises OSError where the file system knows no locks.
    """
    try:
        import fcntl
    except ImportError:  # Windows: an open file cannot be removed there, which is hold enough
        return True
    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True


def _sync_folder(folder: Path) -> None:
    """Makes the new name last through a power cut, where the system can."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
