"""WAV files: RIFF, and its 64-bit forms RF64 and BW64.

Layout: IBM and Microsoft, "Multimedia Programming Interface and Data Specifications 1.0" (1991);
WAVE_FORMAT_EXTENSIBLE: Microsoft, "Multiple channel audio data and WAVE files" (2007); EBU Tech 3306.
"""

from __future__ import annotations

import io
import os
import struct
from dataclasses import dataclass
from pathlib import Path

from arsis.dsp.kernels.pcm import Word
from arsis.errors import SoundFileError

from .chunks import UNKNOWN_SIZE, Chunk, read_at, walk
from .info import SoundInfo, check_fit, truncated
from .pcm import PcmLayout

PCM, IEEE_FLOAT, EXTENSIBLE = 0x0001, 0x0003, 0xFFFE

# The last 14 bytes of a SubFormat that wraps a plain format tag (KSDATAFORMAT_SUBTYPE_*).
_TAG_GUID_TAIL = bytes.fromhex("000000001000800000aa00389b71")

# Registered tags that turn up in practice (RFC 2361, 1998, Appendix A), for the message only.
_OTHER_TAGS = {
    0x0002: "Microsoft ADPCM",
    0x0006: "A-law",
    0x0007: "mu-law",
    0x0011: "IMA ADPCM",
    0x0031: "GSM 6.10",
    0x0050: "MPEG layer 1 or 2",
    0x0055: "MP3",
    0x0161: "Windows Media Audio",
    0x2000: "AC-3",
}

# What is found as the data size where a program wrote into a pipe and could not come back to set it:
# 2^32 - 1 in most, 2^31 - 4096 in others; 0 where it was killed before it set it.
_NEVER_SET = (UNKNOWN_SIZE, 0x7FFFF000)


@dataclass(frozen=True, slots=True)
class _Format:
    tag: int
    channels: int
    rate_hz: int
    frame_bytes: int
    bits: int


def read_layout(file: io.FileIO, path: Path) -> PcmLayout:
    """Where and how the sound lies. Raises SoundFileError where there is none or arsis does not take it."""
    head = read_at(file, 0, 12)
    found: _Format | None = None
    for chunk in walk(file, is_big_endian=False):
        if chunk.id == b"fmt " and found is None:
            found = _format(read_at(file, chunk.start, min(chunk.size, 40)), path)
        if chunk.id == b"data":
            if found is None:
                raise SoundFileError(
                    f"{path}: no fmt chunk before the data chunk, so the sound has no format"
                )
            return _layout(file, path, head, found, chunk)
    missing = "fmt or data" if found is None else "data"
    raise SoundFileError(f"{path}: a WAV file without a {missing} chunk; it holds no sound")


def _format(body: bytes, path: Path) -> _Format:
    if len(body) < 16:
        raise SoundFileError(f"{path}: truncated inside its fmt chunk")
    tag, channels, rate_hz, _, frame_bytes, bits = struct.unpack_from("<HHIIHH", body)
    if tag == EXTENSIBLE:
        if len(body) < 40:
            raise SoundFileError(f"{path}: its extensible fmt chunk is too short")
        if body[26:40] != _TAG_GUID_TAIL:
            raise SoundFileError(f"{path}: unsupported encoding: SubFormat {body[24:40].hex()}")
        tag = struct.unpack_from("<H", body, 24)[0]
    return _Format(tag, channels, rate_hz, frame_bytes, bits)


def _layout(file: io.FileIO, path: Path, head: bytes, found: _Format, data: Chunk) -> PcmLayout:
    word = _word(found, path)
    if found.frame_bytes != word.width * found.channels:
        raise SoundFileError(
            f"{path}: its fmt chunk contradicts itself: {found.channels} channels of {word.width} bytes "
            f"in a frame of {found.frame_bytes}"
        )
    size = _data_size(os.fstat(file.fileno()).st_size, path, head, found, data)
    kind = "float" if word.is_float else "pcm_u" if word.is_unsigned else "pcm_s"
    info = SoundInfo(
        path=path,
        container={b"RIFF": "wav", b"RF64": "rf64", b"BW64": "bw64"}[head[:4]],
        encoding=f"{kind}{8 * word.width}",
        bits=8 * word.width,
        rate_hz=found.rate_hz,
        channels=found.channels,
        frames=size // found.frame_bytes,
        is_float=word.is_float,
        is_lossy=False,
    )
    return PcmLayout(check_fit(info), word, data.start)


def _word(found: _Format, path: Path) -> Word:
    if found.channels == 0:
        raise SoundFileError(f"{path}: has 0 channels; allowed: 1 or 2")
    if found.tag == IEEE_FLOAT and found.bits in (32, 64):
        return Word(found.bits // 8, is_float=True)
    if found.tag == PCM and 1 <= found.bits <= 32:
        # Fewer bits than the bytes hold lie at the top of the word, so the whole word is the value.
        width = max(found.frame_bytes // found.channels, (found.bits + 7) // 8)
        if width <= 4:
            return Word(width, is_unsigned=width == 1)
    name = {PCM: "integer PCM", IEEE_FLOAT: "float"}.get(found.tag) or _OTHER_TAGS.get(found.tag)
    name = name or f"format tag 0x{found.tag:04X}"
    allowed = "PCM of 8, 16, 24 or 32 bits, float of 32 or 64"
    raise SoundFileError(f"{path}: unsupported encoding: {name} of {found.bits} bits; allowed: {allowed}")


def _data_size(file_size: int, path: Path, head: bytes, found: _Format, data: Chunk) -> int:
    """Bytes of sound; all that follow where the size was never set, be they fewer or more than it."""
    present = file_size - data.start
    riff_size = struct.unpack_from("<I", head, 4)[0]
    if data.size in _NEVER_SET and (data.size > present or 8 + riff_size < file_size):
        return present
    if data.size == 0 and riff_size in (0, UNKNOWN_SIZE):
        return present
    if data.size > present:
        promised, held = (size / found.frame_bytes / max(found.rate_hz, 1) for size in (data.size, present))
        raise truncated(path, promised, held)
    return data.size
