"""The words of a sound file: taken apart into float64, and put together from integers or floats."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block

from .library import I64, kernel, reads, writes

_BYTES = reads(np.uint8, 1)

_unpack = kernel("pcm_unpack", _BYTES, I64, I64, I64, I64, writes(np.float64, 2), I64, I64)
_unpack_float = kernel(
    "pcm_unpack_float", _BYTES, I64, I64, I64, I64, writes(np.float64, 2), I64, I64, returns=I64
)
_pack = kernel("pcm_pack", reads(np.int32, 2), I64, I64, I64, I64, writes(np.uint8, 1), returns=I64)
_pack_float = kernel("pcm_pack_float", reads(np.float64, 2), I64, I64, I64, writes(np.uint8, 1), returns=I64)


@dataclass(frozen=True, slots=True)
class Word:
    """How one sample lies in a file: its bytes, their order, and what they mean."""

    width: int
    is_big_endian: bool = False
    is_float: bool = False
    is_unsigned: bool = False


def unpack(raw: NDArray[np.uint8], word: Word, out: Block, start: int, frames: int) -> bool:
    """Fills frames [start, start + frames) of `out` from interleaved words.

    Integers become value / 2^(bits-1), exactly. Returns whether every sample is finite.
    """
    channels, stride = out.shape
    if raw.size < frames * channels * word.width or start + frames > stride:
        raise ValueError("fewer bytes or less room than the frames need")
    if word.is_float:
        unfit = _unpack_float(raw, channels, frames, word.width, word.is_big_endian, out, start, stride)
        return not unfit
    kind = 2 if word.is_unsigned else int(word.is_big_endian)
    _unpack(raw, channels, frames, word.width, kind, out, start, stride)
    return True


def pack(block: NDArray[np.int32] | Block, word: Word, out: NDArray[np.uint8]) -> bool:
    """Interleaves planar integers, or float64 as float32, into the first bytes of `out`.

    Returns whether every sample fits: integers within the word, floats finite in 32 bits.
    """
    channels, frames = block.shape
    if out.size < frames * channels * word.width:
        raise ValueError("less room than the frames need")
    if word.is_float:
        return not _pack_float(block, channels, frames, word.is_big_endian, out)
    return not _pack(block, channels, frames, word.width, word.is_big_endian, out)
