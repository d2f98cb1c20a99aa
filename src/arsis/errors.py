"""What can go wrong, as a tree.

ArsisError                 one clear message: what, where, what is allowed (exit status 2)
├── SoundFileError         a sound file that cannot be read or written as asked
├── DocumentError          a plan or release document at fault; carries every fault found
├── PlanError              a plan that is well formed but cannot be rendered
└── NotSameRecordingError  a printed file that is not the same recording as the mix
"""

from __future__ import annotations

from dataclasses import dataclass


class ArsisError(Exception):
    """Anything the user can mend. The message is shown as it is."""


class SoundFileError(ArsisError):
    """A sound file that cannot be read or written as asked."""


class PlanError(ArsisError):
    """A plan that is well formed but cannot be rendered."""


class NotSameRecordingError(ArsisError):
    """A file printed elsewhere that does not line up with the mix."""


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong in a document.

    line: 1-based, 0 where the file as a whole is meant.
    key: the path to the value, counted from 1: ``section[2].ride_db`` is of the second section.
    found, allowed: in words, for a reader who has the file open.
    """

    file: str
    line: int
    key: str
    found: str
    allowed: str

    def __str__(self) -> str:
        where = f"{self.file}:{self.line}" if self.line else self.file
        return f"{where}: {self.key}: found {self.found}; allowed: {self.allowed}"


class DocumentError(ArsisError):
    """A document with faults, all of them reported together."""

    def __init__(self, faults: list[Fault]) -> None:
        super().__init__("\n".join(str(fault) for fault in faults))
        self.faults = tuple(faults)
