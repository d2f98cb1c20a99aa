"""Whether a lossy file is as long as its decoder says: what the decoder itself does not tell.

Where the file shows that some of it is missing (a page or a frame that its own size or index promises) it is
refused. Where it only lacks what would show that its end is there, it is read, and that is told.
"""

from __future__ import annotations

import io
import os
import struct
from dataclasses import dataclass
from pathlib import Path

from arsis.errors import SoundFileError

from .chunks import read_at
from .info import truncated
from .mp3_frames import Mp3Frames, Mp3Index, mp3_frames

# libsndfile guesses the length from the size and the first frame, and decodes no more than that; the largest
# frame of a rate is at most 20 times as large as the smallest (ISO/IEC 13818-3, 2.4.2.3).
_LONGER = 32


class Mp3View(io.RawIOBase):
    """An MP3 as the decoder is to see it: begins with `head` instead of its own bytes, and ends in zeros."""

    def __init__(self, file: io.FileIO, head: bytes, size: int) -> None:
        self._file = file
        self._head = head
        self._size = size
        self._position = 0

    def seek(self, offset: int, whence: int = os.SEEK_SET) -> int:
        self._position = (
            offset + {os.SEEK_SET: 0, os.SEEK_CUR: self._position, os.SEEK_END: self._size}[whence]
        )
        return self._position

    def tell(self) -> int:
        return self._position

    def readinto(self, buffer: memoryview) -> int:  # type: ignore[override]
        count = max(0, min(len(buffer), self._size - self._position))
        data = self._head[self._position : self._position + count]
        data += read_at(self._file, self._position + len(data), count - len(data))
        buffer[:count] = data.ljust(count, b"\0")
        self._position += count
        return count


@dataclass(frozen=True, slots=True)
class Mp3Length:
    """view: what the decoder is to be given, if not the file itself. frames: that can be read, if the decoder
    does not count them well from what it is given. doubt: as in SoundInfo."""

    view: Mp3View | None = None
    frames: int | None = None
    end_doubt: str = ""


def mp3_length(file: io.FileIO, path: Path, rate_hz: int) -> Mp3Length:
    """Counts the frames. Raises SoundFileError where fewer are there than the index and the size say.

    Without an index the decoder's length is a guess. An index that miscounts is set right.
    """
    size = os.fstat(file.fileno()).st_size
    data = read_at(file, 0, size)
    found = mp3_frames(data)
    index = found.index
    if index is None:
        doubt = "its last frame breaks off" if found.breaks_off else ""
        return Mp3Length(Mp3View(file, b"", _LONGER * size), found.count * found.samples, doubt)
    if index.count == found.count:
        return Mp3Length()
    doubt = _miscounted(found, index, path, rate_hz)
    head = data[: index.count_at] + struct.pack(">I", found.count)
    return Mp3Length(Mp3View(file, head, size), end_doubt=doubt)


def _miscounted(found: Mp3Frames, index: Mp3Index, path: Path, rate_hz: int) -> str:
    """What doubt an index leaves that counts another number of frames. Raises SoundFileError as above."""
    lacking = index.count - found.count
    if lacking > 0 and (index.bytes is None or index.bytes > index.size):
        promised_s, present_s = (count * found.samples / rate_hz for count in (index.count, found.count))
        raise truncated(path, promised_s, present_s)
    if lacking <= 1:  # some encoders count the index as well
        return ""
    return f"its index counts {lacking} frames ({lacking * found.samples / rate_hz:.2f} s) more than it holds"


def ogg_end(file: io.FileIO, path: Path) -> tuple[int, str]:
    """The granule position of the last page (in Vorbis, frames from the start of time), and the doubt left.

    Raises SoundFileError where that page is not whole or bytes of another follow (RFC 3533, 2003, section 6).
    """
    size = os.fstat(file.fileno()).st_size
    tail = read_at(file, max(0, size - 2 * 65_307), 2 * 65_307)  # a page is at most 65,307 bytes
    at = tail.rfind(b"OggS")
    if at >= 0 and len(tail) >= at + 27:
        segments = tail[at + 27 : at + 27 + tail[at + 26]]
        left = len(tail) - (at + 27 + len(segments) + sum(segments))
        is_last = bool(tail[at + 5] & 4)
        if left == 0 or (is_last and left > 0):
            doubt = "" if is_last else "no page is marked as the last of its stream"
            return int(struct.unpack_from("<q", tail, at + 6)[0]), doubt
    raise SoundFileError(f"{path}: truncated: the stream breaks off inside a page")
