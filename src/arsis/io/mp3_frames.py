"""The frames of an MP3 and what its index says of them."""

from __future__ import annotations

import struct
from dataclasses import dataclass

# ISO/IEC 11172-3:1993, 2.4.2.3, layer III; rows of kbit/s: MPEG-1, then MPEG-2 (ISO/IEC 13818-3) and 2.5.
_KBITS = (
    (0, 32, 40, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320),
    (0, 8, 16, 24, 32, 40, 48, 56, 64, 80, 96, 112, 128, 144, 160),
)
_RATES_HZ = (44_100, 48_000, 32_000)
# The bits of a header that are the same in all frames of a stream: sync, version, layer, rate.
_ALIKE = 0xFFFE0C00
_MONO = 3
_MARKS = (b"Xing", b"Info")  # of varying and of constant bit rate: common practice, no standard


@dataclass(frozen=True, slots=True)
class Mp3Index:
    """What an encoder puts into a first frame without sound.

    count, count_at: of frames, and where it is written. bytes: from this frame on, where it is said. size: of
    what there is from this frame on.
    """

    count: int
    count_at: int
    bytes: int | None
    size: int


@dataclass(frozen=True, slots=True)
class Mp3Frames:
    """count: whole frames of sound. samples: in one. breaks_off: another begins and is not all there."""

    count: int
    samples: int
    breaks_off: bool
    index: Mp3Index | None


def mp3_frames(data: bytes) -> Mp3Frames:
    """Walks through a whole file; tags and damaged places between frames are passed over."""
    first = _after_id3(data)
    if not _frame(data, first)[0]:
        first = _next_frame(data, first, None)
    length, samples = _frame(data, first)
    has_index = bool(length) and data.startswith(_MARKS, _mark_at(data, first))
    position, count = first + length * has_index, 0
    while position <= len(data) - 4:
        length = _frame(data, position, first)[0]
        if not length:
            position = _next_frame(data, position + 1, first)
        elif position + length > len(data):
            break
        else:
            count, position = count + 1, position + length
    index = _index(data, first) if has_index else None
    return Mp3Frames(count, samples, position <= len(data) - 4, index)


def _after_id3(data: bytes) -> int:
    """ID3v2 sizes are four bytes of seven bits (id3.org, "ID3 tag version 2.4.0", 2000, 3.1)."""
    if data[:3] != b"ID3" or len(data) < 10:
        return 0
    return 10 + sum((byte & 0x7F) << shift for byte, shift in zip(data[6:10], (21, 14, 7, 0), strict=True))


def _next_frame(data: bytes, position: int, first: int | None) -> int:
    """Where the next frame starts; only one with another or the end of the file behind it is believed."""
    while (position := data.find(b"\xff", position)) >= 0:
        length, _ = _frame(data, position, first)
        after = position + length
        if length and (after == len(data) or _frame(data, after, position)[0]):
            return position
        position += 1
    return len(data)


def _frame(data: bytes, position: int, like: int | None = None) -> tuple[int, int]:
    """Bytes and samples of the frame that starts there; zeros where none like that at `like` does."""
    if not 0 <= position <= len(data) - 4:
        return 0, 0
    header = _word(data, position)
    if like is not None and (header ^ _word(data, like)) & _ALIKE:
        return 0, 0
    version, layer = header >> 19 & 3, header >> 17 & 3
    kbits_index, rate_index = header >> 12 & 15, header >> 10 & 3
    if header >> 21 != 0x7FF or version == 1 or layer != 1 or kbits_index in (0, 15) or rate_index == 3:
        return 0, 0
    is_first = version == 3
    rate_hz = _RATES_HZ[rate_index] >> {3: 0, 2: 1, 0: 2}[version]
    kbits = _KBITS[0 if is_first else 1][kbits_index]
    samples = 1152 if is_first else 576
    return samples // 8 * kbits * 1000 // rate_hz + (header >> 9 & 1), samples


def _word(data: bytes, position: int) -> int:
    return int(struct.unpack_from(">I", data, position)[0])


def _mark_at(data: bytes, first: int) -> int:
    """Where the mark of an index lies: behind the side information (2.4.1.7), which is of no use there."""
    header = _word(data, first)
    is_first, is_mono = header >> 19 & 3 == 3, header >> 6 & 3 == _MONO
    return first + 4 + ((17 if is_mono else 32) if is_first else (9 if is_mono else 17))


def _index(data: bytes, first: int) -> Mp3Index | None:
    """None where it does not count the frames. Flags stand behind the mark, then what they say is there."""
    flags_at = _mark_at(data, first) + 4
    if len(data) < flags_at + 12 or not _word(data, flags_at) & 1:
        return None
    size = _word(data, flags_at + 8) if _word(data, flags_at) & 2 else None
    return Mp3Index(_word(data, flags_at + 4), flags_at + 4, size, len(data) - first)
