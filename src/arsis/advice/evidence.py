"""What speaks for a move: in which kind of section, how far off, and how sure that is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

What = Literal["step", "low_end", "body", "edge", "width", "attack"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """One thing that a kind of section lacks, or has too much of, beside another kind.

    kind, against: the kinds compared. size_db: how far off, negative for too little. freq_hz: of tone.
    says: in words, with figure and unit. sure: 0 to 1.
    """

    what: What
    kind: str
    against: str
    sections: tuple[str, ...]
    size_db: float
    freq_hz: float | None = None
    says: str
    sure: float

    @property
    def id(self) -> str:
        """The same for the same thing in the same kind: `chorus-low-end`."""
        return f"{self.kind}-{self.what}".replace("_", "-")
