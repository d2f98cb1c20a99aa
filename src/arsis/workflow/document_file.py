"""A plan's file while others may write to it, too: read when it is whole, written only over what was read."""

from __future__ import annotations

import stat
import time
from dataclasses import dataclass
from pathlib import Path

from arsis.errors import ArsisError, DocumentError, Fault
from arsis.io.alone import alone_in
from arsis.io.whole import replace_whole, write_bytes_whole

from .places import lies_inside, make_folder

# An editor empties a file and fills it again: what is new counts when it is the same twice, so far apart.
_QUIET_S = 0.05
_MOST_LOOKS = 20
_OUTSIDE = "a link that leads outside the release folder"


class ChangedMeanwhileError(Exception):
    """The file is no longer what it was thought to be; nothing was written."""


@dataclass(frozen=True, slots=True)
class OnDisk:
    """What stands where the plan should: its bytes, or None and why it cannot be read."""

    data: bytes | None
    why: str = ""


class PlanFile:
    """`name` is what people know it by: its path inside the release folder."""

    def __init__(self, path: Path, release: Path) -> None:
        self.path, self.release = path, release
        self.name = path.relative_to(release).as_posix()

    def now(self) -> OnDisk:
        """What stands there at this moment."""
        try:
            if not lies_inside(self.release, self.path):
                return OnDisk(None, _OUTSIDE)
            if not stat.S_ISREG(self.path.stat().st_mode):  # to read a pipe is to wait for ever
                return OnDisk(None, "not a plain file")
            return OnDisk(self.path.read_bytes())
        except OSError as error:
            return OnDisk(None, (error.strerror or str(error)).lower())

    def settled(self, known: OnDisk) -> OnDisk:
        """What stands there, once nobody is writing to it; at once where it is what is known."""
        found = self.now()
        for _ in range(_MOST_LOOKS):
            if found == known:
                break
            time.sleep(_QUIET_S)
            before, found = found, self.now()
            if found == before:
                break
        return found

    def write(self, data: bytes, over: OnDisk) -> OnDisk:
        """The file with `data` in it, whole, in place of what it holds, which is `over`.

        Raises ChangedMeanwhileError where it holds something else, ArsisError where the disk refuses.
        """

        def last_look() -> None:
            if self.now() != over:
                raise ChangedMeanwhileError

        self.check_inside(self.path)
        with replace_whole(self.path, last_look=last_look) as file:
            file.write(data)
        return OnDisk(data)

    def keep_apart(self, data: bytes) -> str:
        """Keeps what was made by hand beside the revisions; gives back where."""
        folder = self.revisions()
        make_folder(folder)
        with alone_in(folder):
            numbers = [int(n) for one in folder.glob("by-hand-*.toml") if (n := one.stem[8:]).isdecimal()]
            kept = folder / f"by-hand-{max(numbers, default=0) + 1}.toml"
            write_bytes_whole(kept, data)
        return kept.relative_to(self.release).as_posix()

    def revisions(self) -> Path:
        """The folder of the plan's kept states. Raises ArsisError where it lies outside the release."""
        folder = self.release / "revisions" / self.path.stem
        self.check_inside(folder)
        return folder

    def check_inside(self, path: Path) -> None:
        """Raises ArsisError where a path leads out of the release folder."""
        if not lies_inside(self.release, path):
            name = path.relative_to(self.release).as_posix()
            raise ArsisError(f"{name}: is {_OUTSIDE}; nothing was written; take the link away")

    def fault(self, found: OnDisk) -> DocumentError:
        """Why there is nothing to read."""
        return DocumentError([Fault(self.name, 0, "file", found.why, "a plan that can be read")])
