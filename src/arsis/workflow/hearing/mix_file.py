"""The mix's file, as it was when it was opened and as it is now."""

from __future__ import annotations

import os
from pathlib import Path

from arsis.errors import PlanError
from arsis.io.digest import sha256_of


class MixFile:
    """Watches one file. A file put in its place leaves the open one as it was; one written over does not."""

    def __init__(self, path: Path, sha256: str) -> None:
        self.path, self.sha256 = path, sha256
        self._opened = self._seen = self._judged = _state(path)

    def check(self) -> None:
        """Raises PlanError where the open file is no longer what it was."""
        now = _state(self.path)
        if now is not None and self._opened is not None and now != self._opened and now[0] == self._opened[0]:
            raise PlanError(f"{self.path}: was written over while it was open; the song is to be read anew")

    def look(self) -> str | None:
        """What is to be said where another file lies there since the last look; None where there is nothing.

        A file that is still being written is looked at later.
        """
        before, self._seen = self._seen, _state(self.path)
        if self._seen != before or self._seen == self._judged:
            return None
        self._judged = self._seen
        if self._seen is None:
            return f"{self.path.name} is not there any more"
        if sha256_of(self.path) == self.sha256:
            self._opened = self._seen if self._opened and self._seen[0] == self._opened[0] else self._opened
            return None
        return f"{self.path.name} is another file now"


def _state(path: Path) -> tuple[int, int, int] | None:
    """Which file it is, how long, and when it was written; None where there is none."""
    try:
        status = os.stat(path)
    except OSError:
        return None
    return (status.st_ino, status.st_size, status.st_mtime_ns)
