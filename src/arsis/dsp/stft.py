"""A stream as overlapping frames with their centres on a grid, and the power of their spectra."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block

from .long_transform import spectra
from .windows import hann


@dataclass(frozen=True, slots=True)
class Frame:
    """samples: (channels, length) around frame `centre` of the stream, of which [first, last) lie inside
    the stream; the others are zero."""

    centre: int
    samples: Block
    first: int
    last: int

    @property
    def whole(self) -> bool:
        return bool(self.last - self.first == self.samples.shape[1])


class FrameStream:
    """Cuts a stream of blocks into frames of `length`, their centres at 0, hop, 2 hop …

    The same frames whatever the blocks.
    """

    def __init__(self, channels: int, length: int, hop: int) -> None:
        self._length = length
        self._hop = hop
        self._buffer = np.zeros((channels, length))
        self._filled = length // 2  # zeros before the stream begins
        self._centre = 0
        self._heard = 0

    def add(self, block: Block) -> Iterator[Frame]:
        """The frames that `block` completes."""
        taken = 0
        self._heard += block.shape[1]
        while taken < block.shape[1]:
            count = min(self._length - self._filled, block.shape[1] - taken)
            self._buffer[:, self._filled : self._filled + count] = block[:, taken : taken + count]
            self._filled += count
            taken += count
            if self._filled == self._length:
                yield self._full(self._length)

    def finish(self) -> Iterator[Frame]:
        """The frames with their centre in the stream that reach over its end."""
        while self._centre < self._heard:
            last = self._filled
            self._buffer[:, last:] = 0.0
            self._filled = self._length
            yield self._full(last)

    def _full(self, last: int) -> Frame:
        """The frame in the buffer; what the next frame shares with it moves to the front."""
        frame = Frame(self._centre, self._buffer.copy(), max(0, self._length // 2 - self._centre), last)
        self._centre += self._hop
        self._filled = last - self._hop
        self._buffer[:, : self._length - self._hop] = self._buffer[:, self._hop :].copy()
        return frame


@dataclass(frozen=True, slots=True)
class FramePower:
    """power: (length / 2 + 1,) summed over the channels, such that its sum over a frame of steady signal
    is that signal's power times `weight`. weight: share of the window inside the stream. bins: of each
    channel, as they come out of the transform; `scale` times their squares is the power, ends left out."""

    power: NDArray[np.float64]
    weight: float
    bins: NDArray[np.complex128]
    scale: float


class HannPower:
    """One-sided power spectra through a Hann window; bin k lies at k rate / length."""

    def __init__(self, length: int) -> None:
        self._window = hann(length)
        self._energy = np.concatenate([[0.0], np.cumsum(self._window**2)])
        self._scale = 2.0 / (length * self._energy[-1])

    def of(self, frame: Frame) -> FramePower:
        """The power of a frame."""
        power = np.zeros(self._window.size // 2 + 1)
        bins = spectra(frame.samples, self._window, power)
        power *= self._scale
        power[0] *= 0.5
        power[-1] *= 0.5
        weight = (self._energy[frame.last] - self._energy[frame.first]) / self._energy[-1]
        return FramePower(power, float(weight), bins, float(self._scale))
