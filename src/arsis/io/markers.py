"""Markers in a WAV file: `cue ` points, and their names and lengths in a `LIST` of type `adtl`.

IBM and Microsoft, "Multimedia Programming Interface and Data Specifications 1.0" (1991), pages 3-61 to 3-65.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from .wav_form import chunk

_POINT = struct.Struct("<II4sIII")
_MOST = 0xFFFFFFFF


@dataclass(frozen=True, slots=True)
class Marker:
    """A named place in the sound. frames: how long what it names is; 0 for a point."""

    frame: int
    name: str
    frames: int = 0


def marker_chunks(markers: Sequence[Marker]) -> tuple[tuple[bytes, bytes], ...]:
    """The two chunks, or none where there is no marker. One past 2^32 frames has no place in them."""
    held = [marker for marker in markers if marker.frame <= _MOST]
    if not held:
        return ()
    points = struct.pack("<I", len(held))
    names = b"adtl"
    for number, marker in enumerate(held, start=1):
        points += _POINT.pack(number, marker.frame, b"data", 0, 0, marker.frame)
        names += chunk(b"labl", struct.pack("<I", number) + marker.name.encode() + b"\0")
    for number, marker in enumerate(held, start=1):
        if 0 < marker.frames <= _MOST:
            names += chunk(b"ltxt", struct.pack("<II4s4H", number, marker.frames, b"rgn ", 0, 0, 0, 0))
    return (b"cue ", points), (b"LIST", names)


def read_markers(chunks: Sequence[tuple[bytes, bytes]]) -> tuple[Marker, ...]:
    """The markers in the chunks of a file, in the order of their points. What is cut off is left out."""
    names: dict[int, str] = {}
    lengths: dict[int, int] = {}
    for body in (body for name, body in chunks if name == b"LIST" and body[:4] == b"adtl"):
        for name, part in parts(body[4:]):
            if name == b"labl" and len(part) >= 4:
                text = part[4:].split(b"\0", 1)[0].decode("utf-8", "replace")
                names.setdefault(struct.unpack_from("<I", part)[0], text)
            if name == b"ltxt" and len(part) >= 8:
                number, frames = struct.unpack_from("<II", part)
                lengths.setdefault(number, frames)
    return tuple(
        Marker(frame, names.get(number, ""), lengths.get(number, 0))
        for body in (body for name, body in chunks if name == b"cue ")
        for number, frame in _points(body)
    )


def parts(body: bytes) -> Iterator[tuple[bytes, bytes]]:
    """The chunks inside the body of a list, as (id, bytes)."""
    position = 0
    while position + 8 <= len(body):
        name, size = struct.unpack_from("<4sI", body, position)
        yield name, body[position + 8 : position + 8 + size]
        position += 8 + size + size % 2


def _points(body: bytes) -> Iterator[tuple[int, int]]:
    if len(body) >= 4:
        count = min(struct.unpack_from("<I", body)[0], (len(body) - 4) // _POINT.size)
        for place in range(count):
            number, _, _, _, _, frame = _POINT.unpack_from(body, 4 + place * _POINT.size)
            yield number, frame
