"""Opens a plain file for reading, and says what is wrong where it cannot."""

from __future__ import annotations

import io
import os
import stat
from pathlib import Path

from arsis.errors import SoundFileError

# O_NONBLOCK: should the file turn into a named pipe between the look and the opening, nothing hangs.
_FLAGS = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0) | getattr(os, "O_CLOEXEC", 0)


def open_plain(path: str | Path) -> io.FileIO:
    """The file, read only and unbuffered. Raises SoundFileError for anything but a plain file."""
    try:
        _check_kind(path, os.stat(path))
        handle = os.open(path, _FLAGS)
    except (OSError, ValueError) as fault:  # ValueError: a NUL in the name
        raise SoundFileError(f"{path}: {_reason(fault)}") from fault
    file = io.FileIO(handle, "r")
    try:
        _check_kind(path, os.fstat(handle))
    except SoundFileError:
        file.close()
        raise
    return file


def _check_kind(path: str | Path, status: os.stat_result) -> None:
    kinds = ((stat.S_ISDIR, "a folder"), (stat.S_ISFIFO, "a named pipe"), (stat.S_ISSOCK, "a socket"))
    for is_kind, name in kinds:
        if is_kind(status.st_mode):
            raise SoundFileError(f"{path}: is {name}, not a sound file")
    if not stat.S_ISREG(status.st_mode):
        raise SoundFileError(f"{path}: is a device, not a sound file")
    if status.st_size == 0:
        raise SoundFileError(f"{path}: is empty")


def _reason(fault: OSError | ValueError) -> str:
    if isinstance(fault, FileNotFoundError):
        return "there is no such file"
    if isinstance(fault, PermissionError):
        return "may not be read: permission denied"
    strerror = getattr(fault, "strerror", None)
    return f"cannot be read: {(strerror or str(fault)).lower()}"
