"""A TOML text as a plain table, with the line of everything in it."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from pathlib import Path

from arsis.errors import DocumentError, Fault

from .positions import line_of, spots
from .table import Table
from .trouble import Path as KeyPath

_WHERE = re.compile(r" \((?:at line (?P<line>\d+), column (?P<column>\d+)|at end of document)\)$")


@dataclass(frozen=True, slots=True)
class TomlText:
    """A text that is good TOML, and what it holds."""

    text: str
    table: Table

    def line_of(self, path: KeyPath) -> int:
        """The line of a path, or of the nearest table around it; 0 for the document as a whole."""
        return line_of(self.text, spots(self.text), path)


def read_text(path: str | Path) -> str:
    """A document's text; raises DocumentError where it cannot be read or is not UTF-8."""
    try:
        if Path(path).is_fifo():  # to read it is to wait for ever
            raise DocumentError([Fault(str(path), 0, "file", "a named pipe", "a document that can be read")])
        data = Path(path).read_bytes()
    except OSError as error:
        fault = Fault(str(path), 0, "file", error.strerror or str(error), "a document that can be read")
        raise DocumentError([fault]) from None
    return decoded(data, str(path))


def decoded(data: bytes, name: str) -> str:
    """A document's text; raises DocumentError where it is not UTF-8."""
    try:
        return data.decode("utf-8-sig")  # some editors put a mark before the text
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        fault = Fault(name, line, "text", f"a byte {data[error.start]:#04x}", "text in UTF-8")
        raise DocumentError([fault]) from None


def toml_table(text: str, name: str) -> TomlText:
    """What a text holds; raises DocumentError with line and column where it is not TOML."""
    try:
        return TomlText(text, tomllib.loads(text))
    except tomllib.TOMLDecodeError as error:
        raise DocumentError([_fault(text, name, str(error))]) from None
    except (ValueError, RecursionError) as error:
        # An integer of thousands of digits, or brackets nested by the hundred.
        raise DocumentError([Fault(name, 0, "text", str(error), "a document of TOML 1.0")]) from None


def _fault(text: str, name: str, message: str) -> Fault:
    where = _WHERE.search(message)
    if where is None:
        return Fault(name, 0, "text", message, "a document of TOML 1.0")
    found = message[: where.start()]
    if where["line"] is None:
        line = text.rstrip().count("\n") + 1
        return Fault(name, line, "end of the document", found, "a document of TOML 1.0")
    return Fault(name, int(where["line"]), f"column {where['column']}", found, "a document of TOML 1.0")
