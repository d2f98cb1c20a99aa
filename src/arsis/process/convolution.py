"""A long symmetrical or other finite filter in motion, by fast convolution."""

from __future__ import annotations

import numpy as np

from arsis.audio import Block, silence
from arsis.dsp.prototypes import Numbers

SMALLEST_FFT = 4_096


class ConvolutionRunner:
    """Overlap-save with blocks of its own, whatever blocks it is given, so that no bit depends on them.

    `latency` is the place of the taps' centre plus the wait for one whole block less a frame. A. V.
    Oppenheim, R. W. Schafer, Discrete-Time Signal Processing, section 8.7.3 (overlap-save). Runs on
    numpy's FFT: the same bits for the same build of numpy.
    """

    def __init__(self, taps: Numbers, centre: int, channels: int) -> None:
        size = max(SMALLEST_FFT, 1 << (4 * len(taps) - 1).bit_length())
        self._hop = size - len(taps) + 1
        self._spectrum = np.fft.rfft(taps, size)
        self._before = silence(channels, len(taps) - 1)
        self._waiting = silence(channels, 0)
        self._ready = silence(channels, self._hop - 1)
        self.latency = centre + self._hop - 1

    def process(self, block: Block) -> Block:
        waiting = np.concatenate([self._waiting, block], axis=1)
        ready = [self._ready]
        whole = waiting.shape[1] - waiting.shape[1] % self._hop
        for start in range(0, whole, self._hop):
            ready.append(self._convolve(waiting[:, start : start + self._hop]))
        self._waiting = waiting[:, whole:].copy()
        out = np.concatenate(ready, axis=1)
        self._ready = out[:, block.shape[1] :].copy()
        return np.ascontiguousarray(out[:, : block.shape[1]])

    def _convolve(self, block: Block) -> Block:
        heard = np.concatenate([self._before, block], axis=1)
        self._before = heard[:, self._hop :].copy()
        return np.fft.irfft(np.fft.rfft(heard) * self._spectrum)[:, -self._hop :]
