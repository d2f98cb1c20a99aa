"""A sound from any frame on, as quickly as it can be had."""

from __future__ import annotations

from math import gcd
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from arsis.audio import BLOCK_FRAMES, Block
from arsis.dsp.resample import Resampler
from arsis.io.read import SoundReader
from arsis.render.source import Source
from arsis.render.stretch import Stretch
from arsis.render.words import Word

Sound32 = NDArray[np.float32]

# More than the longest filter of a rate conversion remembers.
_WARM_UP_S = 0.5


class Stream(Protocol):
    """Frames [at, end) of a sound, in order. exact: whether they are the whole render's for certain."""

    at: int
    end: int
    exact: bool

    def read(self, frames: int) -> Sound32: ...


class FileStream:
    """A sound file's own words, over full scale."""

    exact = True

    def __init__(self, reader: SoundReader, start: int, end: int) -> None:
        self._reader, self.at, self.end = reader, start, min(end, reader.info.frames)

    def read(self, frames: int) -> Sound32:
        self._reader.seek(self.at)
        sound = self._reader.read(min(frames, self.end - self.at))
        self.at += sound.shape[1]
        return sound.astype(np.float32)


class PrintStream:
    """A stretch of the print of a plan, over full scale."""

    exact = False

    def __init__(self, source: Source, word: Word, start: int, end: int) -> None:
        self._stretch, self._word = Stretch(source, word, start, end), word
        self.at, self.end = start, end

    def read(self, frames: int) -> Sound32:
        words = self._stretch.read(frames)
        self.at = self._stretch.at
        if self._word.is_float:
            return words.astype(np.float32)
        return words.astype(np.float32) * np.float32(2.0 ** (1 - self._word.bits))


class ConvertedStream:
    """A sound file at another rate than its own, from a little before what is heard."""

    exact = False

    def __init__(self, reader: SoundReader, rate_hz: int, start: int, end: int) -> None:
        info = reader.info
        common = gcd(info.rate_hz, rate_hz)
        ours, theirs = rate_hz // common, info.rate_hz // common
        # Where a frame of the one falls on a frame of the other, so that the filter meets the same places.
        turns = max(0, start - round(_WARM_UP_S * rate_hz)) // ours
        self._reader, self._fed, self._ended = reader, turns * theirs, False
        self._resampler = Resampler(info.rate_hz, rate_hz, info.channels)
        self._ready = np.empty((info.channels, 0))
        self.at, self.end = turns * ours, end
        self.read(start - self.at)

    def read(self, frames: int) -> Sound32:
        frames = min(frames, self.end - self.at)
        while self._ready.shape[1] < frames and not self._ended:
            self._ready = np.concatenate([self._ready, self._more()], axis=1)
        out, self._ready = self._ready[:, :frames], self._ready[:, frames:]
        self.at += out.shape[1]
        return out.astype(np.float32)

    def _more(self) -> Block:
        self._reader.seek(self._fed)
        block = self._reader.read(BLOCK_FRAMES)
        self._fed += block.shape[1]
        self._ended = not block.shape[1]
        return self._resampler.process(block, self._ended)
