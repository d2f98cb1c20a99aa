"""The chunks of RIFF and IFF files: an id of four bytes, a size, the bytes, padded to an even count."""

from __future__ import annotations

import io
import os
import struct
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from arsis.errors import SoundFileError

from .opening import open_plain

RIFF_IDS = (b"RIFF", b"RF64", b"BW64")
UNKNOWN_SIZE = 0xFFFFFFFF


@dataclass(frozen=True, slots=True)
class Chunk:
    """Where a chunk lies. start: the first byte after its size; size: as the file claims it."""

    id: bytes
    start: int
    size: int


def walk(file: io.FileIO, is_big_endian: bool) -> Iterator[Chunk]:
    """The chunks of an open file in order, up to one that runs past its end (given as the last).

    What has no name in printable ASCII is no chunk (both standards), and ends the walk: a recording that
    was cut off may go on as zeros for gigabytes.
    A 64-bit file's sizes come from its ds64 chunk (EBU Tech 3306, "RF64", 2009; ITU-R BS.2088-1, 2019).
    """
    end = os.fstat(file.fileno()).st_size
    long_sizes: dict[bytes, int] = {}
    position = 12
    while position + 8 <= end:
        name, size = struct.unpack(">4sI" if is_big_endian else "<4sI", read_at(file, position, 8))
        start = position + 8
        if not all(0x20 <= letter < 0x7F for letter in name):
            return
        if name == b"ds64":
            long_sizes = _long_sizes(read_at(file, start, min(size, end - start)))
        if size == UNKNOWN_SIZE and name in long_sizes:
            size = long_sizes[name]
        yield Chunk(name, start, size)
        position = start + size + size % 2


def _long_sizes(ds64: bytes) -> dict[bytes, int]:
    if len(ds64) < 28:
        return {}
    sizes = {b"data": struct.unpack_from("<Q", ds64, 8)[0]}
    count = min(struct.unpack_from("<I", ds64, 24)[0], (len(ds64) - 28) // 12)
    for entry in range(count):
        name, size = struct.unpack_from("<4sQ", ds64, 28 + 12 * entry)
        sizes.setdefault(name, size)
    return sizes


def read_at(file: io.FileIO, start: int, size: int) -> bytes:
    """Up to `size` bytes from `start`."""
    file.seek(start)
    parts = []
    while size > 0 and (part := file.read(size)):
        parts.append(part)
        size -= len(part)
    return b"".join(parts)


def read_chunks(path: str | Path) -> tuple[tuple[bytes, bytes], ...]:
    """Every chunk of a WAV or AIFF file but the sound itself, as (id, bytes), in order.

    Raises SoundFileError where the file is neither, or a chunk runs past its end.
    """
    with open_plain(path) as file:
        head = read_at(file, 0, 12)
        if head[:4] not in (*RIFF_IDS, b"FORM"):
            raise SoundFileError(f"{path}: has no chunks: it is neither WAV nor AIFF")
        found = []
        for chunk in walk(file, is_big_endian=head[:4] == b"FORM"):
            if chunk.id in (b"data", b"SSND"):
                continue
            data = read_at(file, chunk.start, chunk.size)
            if len(data) < chunk.size:
                raise SoundFileError(f"{path}: truncated inside its {chunk.id.decode('latin-1')!r} chunk")
            found.append((chunk.id, data))
        return tuple(found)
