"""The words of a file by their definition: one integer after the other, value / 2^(bits-1)."""

from __future__ import annotations

import struct
from typing import Literal

import numpy as np

from arsis.audio import Block


def unpack(raw: bytes, channels: int, width: int, big_endian: bool, is_float: bool, unsigned: bool) -> Block:
    """Interleaved words to (channels, frames)."""
    values: list[float] = []
    order: Literal["big", "little"] = "big" if big_endian else "little"
    for at in range(0, len(raw) // width * width, width):
        word = raw[at : at + width]
        if is_float:
            values.append(struct.unpack((">" if big_endian else "<") + {4: "f", 8: "d"}[width], word)[0])
        elif unsigned:
            values.append((word[0] - 128) / 128.0)
        else:
            values.append(int.from_bytes(word, order, signed=True) / 2.0 ** (8 * width - 1))
    return np.array(values).reshape(-1, channels).T


def pack(block: np.ndarray, width: int, big_endian: bool, is_float: bool) -> bytes:
    """(channels, frames) to interleaved words."""
    order: Literal["big", "little"] = "big" if big_endian else "little"
    parts = []
    for value in block.T.ravel():
        if is_float:
            parts.append(struct.pack(">f" if big_endian else "<f", value))
        else:
            parts.append(int(value).to_bytes(width, order, signed=True))
    return b"".join(parts)
