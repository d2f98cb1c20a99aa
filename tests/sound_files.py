"""Small sound files put together by hand, byte by byte, and by programs that are not arsis."""

from __future__ import annotations

import struct
import subprocess
from pathlib import Path

import numpy as np
from numpy.typing import NDArray


def riff_chunk(name: bytes, data: bytes, size: int | None = None) -> bytes:
    """A chunk; `size` is what it claims, where that differs from what it holds."""
    claimed = len(data) if size is None else size
    return struct.pack("<4sI", name, claimed) + data + bytes(len(data) % 2)


def fmt_chunk(
    tag: int = 1, channels: int = 2, rate_hz: int = 44_100, bits: int = 16, frame_bytes: int = 0
) -> bytes:
    frame = frame_bytes or channels * ((bits + 7) // 8)
    return riff_chunk(b"fmt ", struct.pack("<HHIIHH", tag, channels, rate_hz, rate_hz * frame, frame, bits))


def riff(*chunks: bytes, form: bytes = b"RIFF", size: int | None = None) -> bytes:
    body = b"WAVE" + b"".join(chunks)
    return form + struct.pack("<I", len(body) if size is None else size) + body


def iff_chunk(name: bytes, data: bytes) -> bytes:
    return struct.pack(">4sI", name, len(data)) + data + bytes(len(data) % 2)


def aiff(*chunks: bytes, form: bytes = b"AIFF") -> bytes:
    body = form + b"".join(chunks)
    return b"FORM" + struct.pack(">I", len(body)) + body


# 44,100 as an 80-bit extended float: 0x400E, then 44,100 with its top bit at the top of 64.
EXTENDED_44100 = bytes.fromhex("400eac44000000000000")


def comm_chunk(
    channels: int, frames: int, bits: int, kind: bytes = b"", rate: bytes = EXTENDED_44100
) -> bytes:
    return iff_chunk(b"COMM", struct.pack(">hIh", channels, frames, bits) + rate + kind)


def words(frames: int, bits: int, channels: int = 2, seed: int = 1) -> NDArray[np.int32]:
    """Integers over the whole range of the word, its ends among them."""
    top = 1 << (bits - 1)
    made = np.random.default_rng(seed).integers(-top, top, (channels, frames), dtype=np.int64)
    made[:, : min(2, frames)] = np.array([-top, top - 1])[: min(2, frames)]
    return made.astype(np.int32)


def ffmpeg(*arguments: str | Path) -> bytes:
    done = subprocess.run(
        ["ffmpeg", "-nostdin", "-v", "error", "-y", *map(str, arguments)], check=True, capture_output=True
    )
    return done.stdout
