"""The picture of a release: what it is, known by its bytes."""

from __future__ import annotations

import hashlib
import struct
from pathlib import Path

from .gathering import Gathering, ReadDocument
from .order import Artwork

# A picture in a FLAC file is at most so long: the length of its block has 24 bits (RFC 9639, 8.1), less
# what stands before it in the block.
MOST_BYTES = 2**24 - 1024
LEAST_PIXELS = 1400  # shops want 1400 to 3000 a side, as many as the other: common practice, no source

_PNG = b"\x89PNG\r\n\x1a\n"  # W3C PNG (third edition), 5.2
_JPEG = b"\xff\xd8\xff"  # ITU-T T.81, B.1.1.3: SOI, then a marker
# Start of frame, with the size of the picture: T.81, table B.1, less DHT, JPG and DAC.
_FRAMES = frozenset(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}
_ALLOWED = "a JPEG or PNG picture inside the release folder"


def look_at_artwork(release: Path, given: str, document: ReadDocument, faults: Gathering) -> Artwork | None:
    """The picture that a release names; None where there is none that can be used."""
    path = release / given
    key = ("artwork",)
    try:
        inside = path.resolve(strict=True).is_relative_to(release.resolve())
        data = path.read_bytes() if inside and path.is_file() else b""
    except OSError as fault:
        reason = (fault.strerror or str(fault)).lower()
        faults.at(document, key, f'"{given}", and {reason}', _ALLOWED)
        return None
    if not inside:
        found = f'"{given}", a link that leads out of the release folder'
        faults.at(document, key, found, _ALLOWED)
        return None
    size = _png_size(data) or _jpeg_size(data)
    if size is None or 0 in size:
        faults.at(document, key, f'"{given}", which holds no such picture', _ALLOWED)
        return None
    if len(data) > MOST_BYTES:
        found, allowed = (
            f'"{given}" of {len(data)} bytes',
            f"at most {MOST_BYTES}: more fits into no FLAC file",
        )
        faults.at(document, key, found, allowed)
        return None
    width, height = size
    if width != height or width < LEAST_PIXELS:
        faults.warnings.append(
            f"the artwork has {width} × {height} pixels; shops want a square of at least"
            f" {LEAST_PIXELS} × {LEAST_PIXELS} (common practice)"
        )
    return Artwork(
        path=given,
        sha256=hashlib.sha256(data).hexdigest(),
        bytes=len(data),
        mime="image/png" if data.startswith(_PNG) else "image/jpeg",
        width=width,
        height=height,
    )


def _png_size(data: bytes) -> tuple[int, int] | None:
    """Width and height of a PNG picture, from its first chunk (third edition, 11.2.1)."""
    if not data.startswith(_PNG) or data[12:16] != b"IHDR" or len(data) < 24:
        return None
    width, height = struct.unpack(">II", data[16:24])
    return width, height


def _jpeg_size(data: bytes) -> tuple[int, int] | None:
    """Width and height of a JPEG picture, from its frame header (T.81, B.2.2)."""
    if not data.startswith(_JPEG):
        return None
    at = 2
    while at + 9 <= len(data) and data[at] == 0xFF:
        marker = data[at + 1]
        if marker == 0xFF:  # a fill byte may stand before a marker
            at += 1
        elif marker in _FRAMES:
            height, width = struct.unpack(">HH", data[at + 5 : at + 9])
            return width, height
        elif marker == 0x01 or 0xD0 <= marker <= 0xD8:  # markers that stand alone
            at += 2
        elif marker in (0xD9, 0xDA):  # the picture itself, or its end: no frame before it
            return None
        else:
            at += 2 + int(struct.unpack(">H", data[at + 2 : at + 4])[0])
    return None
