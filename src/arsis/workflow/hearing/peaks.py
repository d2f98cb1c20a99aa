"""The outline of a sound at several scales, for drawing: lowest and highest sample of so many frames.

As bytes, little endian: "arPK", channels and levels (uint16 each), rate, frames of the finest bin, factor
from one level to the next, frames of the sound, twice zero (uint32 each); then bins of each level (uint32
each); then by level and channel the bins, lowest and highest (int16 each, 32767 is full scale). Lowest are
rounded down and highest up, so no peak is ever drawn too small.
"""

from __future__ import annotations

import struct

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block
from arsis.measure.series import Series

MAGIC = b"arPK"
FINEST, FACTOR, LEVELS = 128, 4, 5
FULL_SCALE = 32_767.0

_Bins = NDArray[np.int16]  # (bins, channels, 2)


class PeakMeter:
    """Hears a sound, block by block."""

    def __init__(self, rate_hz: int, channels: int) -> None:
        self._rate_hz, self._channels, self._frames = rate_hz, channels, 0
        self._left = np.empty((channels, 0))
        self._bins = Series(np.empty((0, channels, 2), dtype=np.int16))

    def add(self, block: Block) -> None:
        """Hears the next frames."""
        self._frames += block.shape[1]
        if self._left.shape[1]:
            block = np.concatenate([self._left, block], axis=1)
        whole = block.shape[1] // FINEST * FINEST
        self._left = block[:, whole:].copy()
        if whole:
            self._bins.append(_bins(block[:, :whole].reshape(self._channels, -1, FINEST)))

    def data(self) -> bytes:
        """The outline of all that was heard."""
        finest: _Bins = self._bins.whole()
        if self._left.shape[1]:
            finest = np.concatenate([finest, _bins(self._left[:, None, :])])
        levels = [finest]
        while len(levels) < LEVELS:
            levels.append(_coarser(levels[-1]))
        head = struct.pack(
            "<4sHHIIIIII", MAGIC, self._channels, LEVELS, self._rate_hz, FINEST, FACTOR, self._frames, 0, 0
        )
        counts = struct.pack(f"<{LEVELS}I", *(len(level) for level in levels))
        return head + counts + b"".join(level.transpose(1, 0, 2).astype("<i2").tobytes() for level in levels)


def _bins(sound: Block) -> _Bins:
    """Of (channels, bins, frames)."""
    lowest = np.floor(sound.min(axis=2) * FULL_SCALE)
    highest = np.ceil(sound.max(axis=2) * FULL_SCALE)
    both = np.stack([lowest.T, highest.T], axis=2)
    return np.asarray(np.clip(both, -FULL_SCALE - 1.0, FULL_SCALE), dtype=np.int16)


def _coarser(bins: _Bins) -> _Bins:
    firsts = np.arange(0, len(bins), FACTOR)
    lowest = np.minimum.reduceat(bins[:, :, 0], firsts, axis=0)
    highest = np.maximum.reduceat(bins[:, :, 1], firsts, axis=0)
    return np.stack([lowest, highest], axis=2)
