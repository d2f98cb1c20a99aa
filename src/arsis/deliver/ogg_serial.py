"""Gives an Ogg stream a number that follows from what is in it.

RFC 3533 (2003), section 6, asks for a random one, and coders draw it from the clock: then the same sound
would never be the same bytes.
"""

# mutagen says that it is typed, and is so in part.
# mypy: disable-error-code="no-untyped-call"

from __future__ import annotations

import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from mutagen.ogg import OggPage


def settle_serial(path: Path) -> None:
    """Renumbers the only stream of a file: the CRC-32 of its packets."""
    with path.open("r+b") as file:
        serial = 0
        for page in _pages(path):
            for packet in page.packets:
                serial = zlib.crc32(packet, serial)
        for page in _pages(path):
            page.serial = serial
            file.seek(page.offset)
            file.write(page.write())


def _pages(path: Path) -> Iterator[Any]:
    with path.open("rb") as file:
        while True:
            try:
                page = OggPage(file)
            except EOFError:
                return
            yield page
