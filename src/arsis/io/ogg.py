"""Ogg pages: the number of a stream is set anew, so that the same sound gives the same file.

RFC 3533 (2003), section 6: every page carries the stream's serial number and a checksum of the page. A
library draws that number from the clock.
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Callable

from arsis.errors import SoundFileError

_SERIAL_AT, _CRC_AT, _SEGMENTS_AT, _HEAD = 14, 22, 26, 27
_TURNED = bytes(int(f"{byte:08b}"[::-1], 2) for byte in range(256))  # each byte with its bits in reverse

ReadAt = Callable[[int, int], bytes]
WriteAt = Callable[[int, bytes], None]


def page_crc(page: bytes) -> int:
    """The checksum of a page whose own field is zero: polynomial 0x04C11DB7, highest bit first, no start
    value and no inversion (RFC 3533, section 6, field 7).

    zlib's is the same polynomial with the bits the other way round, which is quicker than any loop here.
    """
    turned = zlib.crc32(page.translate(_TURNED), 0xFFFFFFFF) ^ 0xFFFFFFFF
    return int(f"{turned:032b}"[::-1], 2)


def set_serial(read_at: ReadAt, write_at: WriteAt, serial: int) -> None:
    """Gives every page of a file the stream number `serial`. Raises SoundFileError where it is not Ogg."""
    position = 0
    while head := read_at(position, _HEAD):
        if head[:4] != b"OggS" or len(head) < _HEAD:
            raise SoundFileError(f"no Ogg page at byte {position}")
        segments = read_at(position + _HEAD, head[_SEGMENTS_AT])
        length = _HEAD + len(segments) + sum(segments)
        page = bytearray(read_at(position, length))
        struct.pack_into("<I", page, _SERIAL_AT, serial)
        struct.pack_into("<I", page, _CRC_AT, 0)
        struct.pack_into("<I", page, _CRC_AT, page_crc(bytes(page)))
        write_at(position, bytes(page[:_HEAD]))
        position += length
