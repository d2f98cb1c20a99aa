"""What a check found wrong with a delivery."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Check = Literal["files", "manifest", "sound", "meters", "tags", "spacing", "paperwork", "rebuild"]

# In this order they are told: what is plainest first.
CHECKS: tuple[Check, ...] = (
    "files",
    "sound",
    "tags",
    "meters",
    "manifest",
    "spacing",
    "paperwork",
    "rebuild",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing that does not hold.

    file: its path in the delivery. what: in words, for a reader who has not seen the file.
    expected, found: the two values where there are such; None where `what` says it all.
    """

    file: str
    check: Check
    what: str
    expected: str | None = None
    found: str | None = None

    def __str__(self) -> str:
        if self.expected is None and self.found is None:
            return f"{self.file}: {self.what}"
        return f"{self.file}: {self.what}: expected {self.expected}, found {self.found}"
