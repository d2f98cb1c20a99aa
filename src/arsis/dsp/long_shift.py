"""A recording read a constant part of a frame later, true up to the very top of its band.

A windowed sinc loses a part of the top in proportion to one over its length. `between` loses the top tenth,
which is empty in most recordings, but what is taken away from another mix is seen there. This one loses
a third of a hertz at 44.1 kHz, and rings for seconds there, above hearing.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block, silence

from .windows import kaiser_at

HALF = 1 << 18
SIZE = 1 << 20
HOP = SIZE - 2 * HALF + 1
_BETA = 8.0


class LongShift:
    """`read` at `offset_frames` later, in blocks of its own, whatever is asked of it, so that no bit depends
    on that; best asked in order.

    Overlap-save: A. V. Oppenheim, R. W. Schafer, Discrete-Time Signal Processing, section 8.7.3.
    """

    def __init__(self, read: Callable[[int, int], Block], offset_frames: float, channels: int) -> None:
        self._read, self._channels = read, channels
        self._whole = int(np.floor(offset_frames))
        self._spectrum = np.fft.rfft(_taps(offset_frames - self._whole), SIZE)
        self._at, self._ready = -1, silence(channels, 0)  # which block is ready

    def __call__(self, start: int, frames: int) -> Block:
        """Frames [start, start + frames)."""
        out = np.empty((self._channels, frames))
        done = 0
        while done < frames:
            number, first = divmod(start + done, HOP)
            take = min(frames - done, HOP - first)
            out[:, done : done + take] = self._block(number)[:, first : first + take]
            done += take
        return out

    def _block(self, number: int) -> Block:
        if number != self._at:
            first = number * HOP + self._whole + HALF - (2 * HALF - 1)
            made = [
                np.fft.irfft(np.fft.rfft(channel) * self._spectrum)[2 * HALF - 1 :]
                for channel in self._read(first, SIZE)
            ]
            self._at, self._ready = number, np.stack(made)
        return self._ready


def _taps(part: float) -> NDArray[np.float64]:
    """Frames HALF to 1 - HALF around one, latest first, weighted to give the value `part` after it."""
    place = part - np.arange(HALF, -HALF, -1.0)
    taps = np.sinc(place) * kaiser_at(place, HALF + 1.0, _BETA)
    return np.asarray(taps / taps.sum())
