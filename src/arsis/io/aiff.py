"""AIFF and AIFF-C files.

Layout: Apple, "Audio Interchange File Format: AIFF, version 1.3" (1989) and "AIFF-C, draft 8/26/91".
"""

from __future__ import annotations

import io
import math
import os
import struct
from dataclasses import dataclass
from pathlib import Path

from arsis.dsp.kernels.pcm import Word
from arsis.errors import SoundFileError

from .chunks import Chunk, read_at, walk
from .info import SoundInfo, check_fit, check_rate, truncated
from .pcm import PcmLayout

# Compression types whose samples are plain words: integers as announced, or floats of a fixed width.
_BIG, _LITTLE = (b"NONE", b"twos", b"in24", b"in32"), (b"sowt",)
_FLOATS = {b"fl32": 4, b"FL32": 4, b"fl64": 8, b"FL64": 8}
_OTHER_TYPES = {
    b"alaw": "A-law",
    b"ALAW": "A-law",
    b"ulaw": "mu-law",
    b"ULAW": "mu-law",
    b"ima4": "IMA ADPCM",
}


@dataclass(frozen=True, slots=True)
class _Common:
    channels: int
    frames: int
    bits: int
    rate_hz: float
    compression: bytes


def read_layout(file: io.FileIO, path: Path) -> PcmLayout:
    """Where and how the sound lies. Raises SoundFileError where there is none or arsis does not take it."""
    form = read_at(file, 8, 4)
    common: _Common | None = None
    sound: Chunk | None = None
    for chunk in walk(file, is_big_endian=True):  # in any order, says the standard
        if chunk.id == b"COMM" and common is None:
            common = _common(read_at(file, chunk.start, min(chunk.size, 22)), form, path)
        if chunk.id == b"SSND" and sound is None:
            sound = chunk
    if common is None:
        raise SoundFileError(f"{path}: an AIFF file without a COMM chunk, so the sound has no format")
    if sound is None:
        if common.frames == 0:
            raise SoundFileError(f"{path}: holds no sound: zero frames")
        raise SoundFileError(f"{path}: an AIFF file without an SSND chunk; it holds no sound")
    return _layout(file, path, "aifc" if form == b"AIFC" else "aiff", common, sound)


def _common(body: bytes, form: bytes, path: Path) -> _Common:
    if len(body) < (22 if form == b"AIFC" else 18):
        raise SoundFileError(f"{path}: truncated inside its COMM chunk")
    channels, frames, bits = struct.unpack_from(">hIh", body)
    compression = body[18:22] if form == b"AIFC" else b"NONE"
    return _Common(channels, frames, bits, extended_to_float(body[8:18]), compression)


def _layout(file: io.FileIO, path: Path, container: str, common: _Common, sound: Chunk) -> PcmLayout:
    word = _word(common, path)
    check_rate(path, common.rate_hz)
    offset = read_at(file, sound.start, 8)
    data_start = sound.start + 8 + (struct.unpack(">I", offset[:4])[0] if len(offset) == 8 else 0)
    held = min(sound.start + sound.size, os.fstat(file.fileno()).st_size) - data_start
    frame_bytes = word.width * max(common.channels, 1)
    if common.frames * frame_bytes > max(held, 0):
        promised, present = (n / common.rate_hz for n in (common.frames, max(held, 0) // frame_bytes))
        raise truncated(path, promised, present)
    info = SoundInfo(
        path=path,
        container=container,
        encoding=f"{'float' if word.is_float else 'pcm_s'}{8 * word.width}",
        bits=8 * word.width,
        rate_hz=int(common.rate_hz),
        channels=common.channels,
        frames=common.frames,
        is_float=word.is_float,
        is_lossy=False,
    )
    return PcmLayout(check_fit(info), word, data_start)


def _word(common: _Common, path: Path) -> Word:
    if common.channels not in (1, 2):
        raise SoundFileError(f"{path}: has {common.channels} channels; allowed: 1 or 2")
    if width := _FLOATS.get(common.compression):
        return Word(width, is_big_endian=True, is_float=True)
    if common.compression in _BIG + _LITTLE and 1 <= common.bits <= 32:
        # Fewer bits than the bytes hold lie at the top of the word, so the whole word is the value.
        return Word((common.bits + 7) // 8, is_big_endian=common.compression in _BIG)
    name = _OTHER_TYPES.get(common.compression) or repr(common.compression.decode("latin-1"))
    allowed = "PCM of 8, 16, 24 or 32 bits, float of 32 or 64"
    raise SoundFileError(f"{path}: unsupported encoding: {name} of {common.bits} bits; allowed: {allowed}")


def extended_to_float(data: bytes) -> float:
    """The value of an 80-bit extended float (IEEE 754-1985): sign, 15 bits of exponent, 64 of mantissa."""
    exponent, mantissa = struct.unpack(">HQ", data)
    sign = -1.0 if exponent & 0x8000 else 1.0
    if exponent & 0x7FFF == 0x7FFF:
        return sign * math.inf
    if mantissa == 0:
        return 0.0
    try:
        return sign * math.ldexp(mantissa, (exponent & 0x7FFF) - 16_383 - 63)
    except OverflowError:
        return sign * math.inf


def float_to_extended(value: float) -> bytes:
    """A positive number as an 80-bit extended float."""
    fraction, exponent = math.frexp(value)
    return struct.pack(">HQ", exponent - 1 + 16_383, int(math.ldexp(fraction, 64)))
