"""Everything wrong with a delivery before it is begun, gathered so that it is said in one message."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeVar

from arsis.errors import ArsisError, DocumentError, Fault
from arsis.plan.text import TomlText
from arsis.plan.trouble import Path as KeyPath
from arsis.plan.trouble import key_path

Found = TypeVar("Found")


@dataclass(frozen=True, slots=True)
class ReadDocument:
    """A document as it was read. name: for messages."""

    name: str
    toml: TomlText


@dataclass(slots=True)
class Gathering:
    """The faults so far, each as the line it will be; and what is only worth a warning."""

    faults: list[str] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)

    def fault(self, file: str | Path, key: str, found: str, allowed: str, line: int = 0) -> None:
        self.faults.append(str(Fault(str(file), line, key, found, allowed)))

    def at(self, document: ReadDocument, path: KeyPath, found: str, allowed: str) -> None:
        """A fault at a key of a document."""
        self.fault(document.name, key_path(path), found, allowed, document.toml.line_of(path))

    def tried(self, attempt: Callable[[], Found]) -> Found | None:
        """What comes of an attempt; None where it fails, and then its faults are kept."""
        try:
            return attempt()
        except DocumentError as error:
            self.faults.extend(map(str, error.faults))
        except ArsisError as error:
            self.faults.append(str(error))
        return None

    def settle(self) -> None:
        """Raises ArsisError with all that was found, each fault once and on a line of its own."""
        if self.faults:
            raise ArsisError("\n".join(dict.fromkeys(self.faults)))
