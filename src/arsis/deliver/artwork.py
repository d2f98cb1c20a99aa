"""The picture of a release, as far as tags need to know it."""

from __future__ import annotations

import hashlib
import struct
from collections.abc import Iterator
from dataclasses import dataclass

from arsis.errors import ArsisError

_PNG = b"\x89PNG\r\n\x1a\n"
_JPEG = b"\xff\xd8\xff"
_PNG_CHANNELS = {0: 1, 2: 3, 3: 3, 4: 2, 6: 4}  # W3C, "PNG Specification" (2003), Table 11.1
# Frame headers of JPEG (ITU-T T.81, 1992, Table B.1): SOF0 to SOF15 without DHT, JPG and DAC.
_JPEG_FRAMES = frozenset(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}


@dataclass(frozen=True, slots=True)
class Artwork:
    """A JPEG or a PNG as it is in its file. depth: bits of a pixel."""

    data: bytes
    mime: str
    width: int
    height: int
    depth: int

    @property
    def shown(self) -> str:
        """What a manifest says of it."""
        return f"{self.mime} {hashlib.sha256(self.data).hexdigest()}"


def artwork_of(data: bytes, shown: str) -> Artwork:
    """What a picture is. shown: its file, for the message. Raises ArsisError for what is no JPEG or PNG."""
    if data.startswith(_PNG) and data[12:16] == b"IHDR" and len(data) >= 26:
        width, height, bits, colour = struct.unpack_from(">IIBB", data, 16)
        return Artwork(data, "image/png", width, height, bits * _PNG_CHANNELS.get(colour, 3))
    if data.startswith(_JPEG):
        for marker, start in _segments(data):
            if marker in _JPEG_FRAMES and start + 6 <= len(data):
                bits, height, width, channels = struct.unpack_from(">BHHB", data, start)
                return Artwork(data, "image/jpeg", width, height, bits * channels)
    raise ArsisError(f"{shown}: is not a picture that tags hold; allowed: JPEG, PNG")


def _segments(data: bytes) -> Iterator[tuple[int, int]]:
    """The marker segments of a JPEG, as (marker, first byte after the length)."""
    position = 2
    while position + 4 <= len(data) and data[position] == 0xFF:
        marker, size = data[position + 1], struct.unpack_from(">H", data, position + 2)[0]
        if marker == 0xFF:  # fill
            position += 1
            continue
        yield marker, position + 4
        position += 2 + size
