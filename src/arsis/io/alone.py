"""One process at a time in a folder, so that what two do at once is done one after the other."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


@contextmanager
def alone_in(folder: Path) -> Iterator[None]:
    """Waits for every other that is alone in the folder; the system lets go when a process dies.

    Raises OSError where the folder cannot be read. On Windows nothing waits: there is no such lock.
    """
    try:
        import fcntl
    except ImportError:
        yield
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX)
        yield
    finally:
        os.close(handle)
