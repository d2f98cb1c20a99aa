"""A long symmetrical or other finite filter in motion, by fast convolution."""

from __future__ import annotations

import numpy as np

from arsis.audio import Block, silence
from arsis.dsp.prototypes import Numbers

SMALLEST_FFT = 4_096


class ConvolutionRunner:
    """Overlap-save with blocks of its own, whatever blocks it is given, so that no bit depends on them.

    `latency` is the place of the taps' centre plus one block of its own. A. V. Oppenheim, R. W.
    Schafer, Discrete-Time Signal Processing, section 8.7.3 (overlap-save). Runs on numpy's FFT: the
    same bits for the same build of numpy.
    """

    def __init__(self, taps: Numbers, centre: int, channels: int) -> None:
        size = max(SMALLEST_FFT, 1 << (2 * len(taps) - 3).bit_length())
        self._overlap, self._hop = len(taps) - 1, size - len(taps) + 1
        self._spectrum = np.fft.rfft(taps, size)
        self._heard = silence(channels, size)  # the overlap, then the block that is filling up
        self._ready = silence(channels, self._hop)
        self._at = 0
        self.latency = centre + self._hop

    def process(self, block: Block) -> Block:
        out = np.empty_like(block, order="C")
        frames, done = block.shape[1], 0
        while done < frames:
            take = min(frames - done, self._hop - self._at)
            filling = self._overlap + self._at
            out[:, done : done + take] = self._ready[:, self._at : self._at + take]
            self._heard[:, filling : filling + take] = block[:, done : done + take]
            self._at += take
            done += take
            if self._at == self._hop:
                self._convolve()
        return out

    def _convolve(self) -> None:
        self._ready = np.fft.irfft(np.fft.rfft(self._heard) * self._spectrum)[:, self._overlap :]
        self._heard[:, : self._overlap] = self._heard[:, self._hop :].copy()
        self._at = 0
