"""Whether a lossy file is as long as its decoder says: what the decoder itself does not tell."""

from __future__ import annotations

import io
import os
import struct
from pathlib import Path

from arsis.errors import SoundFileError

from .chunks import read_at
from .info import SoundInfo, truncated

# ISO/IEC 11172-3:1993, 2.4.2.3, layer III; rows of kbit/s: MPEG-1, then MPEG-2 (ISO/IEC 13818-3) and 2.5.
_KBITS = (
    (0, 32, 40, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320),
    (0, 8, 16, 24, 32, 40, 48, 56, 64, 80, 96, 112, 128, 144, 160),
)
_RATES_HZ = (44_100, 48_000, 32_000)

# Encoder delay, decoder delay and padding that a gapless header trims: below four frames in practice.
_TRIM_FRAMES = 4


def check_mp3_length(file: io.FileIO, info: SoundInfo) -> None:
    """Raises SoundFileError where the decoder's length is not what the file's frames add up to.

    Without an index at its start, a file of varying bit rate is given a guessed length by libsndfile,
    and the rest of it is never decoded.
    """
    size = os.fstat(file.fileno()).st_size
    data = read_at(file, 0, size)
    found, per_frame = _mp3_frames(data)
    slack = _TRIM_FRAMES * per_frame
    if info.frames > found * per_frame + slack:
        raise truncated(info.path, info.duration_s, found * per_frame / info.rate_hz)
    if info.frames < found * per_frame - slack:
        raise SoundFileError(
            f"{info.path}: an MP3 of varying bit rate without an index cannot be read to its end; "
            "convert it to WAV or FLAC first"
        )


def _mp3_frames(data: bytes) -> tuple[int, int]:
    """Whole layer III frames, and the samples in one."""
    position, count, per_frame = _after_id3(data), 0, 1152
    while 0 <= position <= len(data) - 4:
        length, samples = _mp3_frame(struct.unpack_from(">I", data, position)[0])
        if not length:
            position = data.find(b"\xff", position + 1)
            continue
        if position + length > len(data):
            break
        count, per_frame, position = count + 1, samples, position + length
    return count, per_frame


def _after_id3(data: bytes) -> int:
    """ID3v2 sizes are four bytes of seven bits (id3.org, "ID3 tag version 2.4.0", 2000, 3.1)."""
    if data[:3] != b"ID3" or len(data) < 10:
        return 0
    return 10 + sum((byte & 0x7F) << shift for byte, shift in zip(data[6:10], (21, 14, 7, 0), strict=True))


def _mp3_frame(header: int) -> tuple[int, int]:
    """Bytes and samples of the frame under a header; zeros where it is not one."""
    version, layer = header >> 19 & 3, header >> 17 & 3
    kbits_index, rate_index = header >> 12 & 15, header >> 10 & 3
    if header >> 21 != 0x7FF or version == 1 or layer != 1 or kbits_index in (0, 15) or rate_index == 3:
        return 0, 0
    is_first = version == 3
    rate_hz = _RATES_HZ[rate_index] >> {3: 0, 2: 1, 0: 2}[version]
    kbits = _KBITS[0 if is_first else 1][kbits_index]
    samples = 1152 if is_first else 576
    return samples // 8 * kbits * 1000 // rate_hz + (header >> 9 & 1), samples


def ogg_end(file: io.FileIO, path: Path) -> int:
    """The granule position of the page that ends the stream: in Vorbis, frames from the start of time.

    Raises SoundFileError where the last page does not end the stream (RFC 3533, 2003, section 6).
    """
    size = os.fstat(file.fileno()).st_size
    tail = read_at(file, max(0, size - 2 * 65_307), 2 * 65_307)  # a page is at most 65,307 bytes
    at = tail.rfind(b"OggS")
    if at >= 0 and len(tail) >= at + 27:
        segments = tail[at + 27 : at + 27 + tail[at + 26]]
        if tail[at + 5] & 4 and len(tail) >= at + 27 + len(segments) + sum(segments):
            return int(struct.unpack_from("<q", tail, at + 6)[0])
    raise SoundFileError(f"{path}: truncated: the stream breaks off before its last page")
