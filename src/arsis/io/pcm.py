"""Reads plain words, integer or float, from an open file as float64."""

from __future__ import annotations

import io
from dataclasses import dataclass

import numpy as np

from arsis.audio import BLOCK_FRAMES, Block
from arsis.dsp.kernels.pcm import Word, unpack
from arsis.errors import SoundFileError

from .info import SoundInfo


@dataclass(frozen=True, slots=True)
class PcmLayout:
    """What the file is, how a word lies in it, and at which byte the sound starts."""

    info: SoundInfo
    word: Word
    data_start: int


class PcmReader:
    """A file of plain words, read from front to back or from any frame."""

    def __init__(self, file: io.FileIO, layout: PcmLayout) -> None:
        self.info = layout.info
        self._file = file
        self._word = layout.word
        self._data_start = layout.data_start
        self._frame_bytes = layout.word.width * layout.info.channels
        self._raw = np.empty(BLOCK_FRAMES * self._frame_bytes, np.uint8)
        self._position = 0
        self.seek(0)

    def seek(self, frame: int) -> None:
        """The next read starts at `frame`."""
        if not 0 <= frame <= self.info.frames:
            raise ValueError(f"frame {frame} lies outside the file's {self.info.frames}")
        self._position = frame
        self._file.seek(self._data_start + frame * self._frame_bytes)

    def read(self, frames: int) -> Block:
        """Up to `frames` frames, fewer only at the end. Raises SoundFileError for what is no sound."""
        out = np.empty((self.info.channels, min(frames, self.info.frames - self._position)))
        for start in range(0, out.shape[1], BLOCK_FRAMES):
            count = min(BLOCK_FRAMES, out.shape[1] - start)
            self._fill(count * self._frame_bytes)
            if not unpack(self._raw, self._word, out, start, count):
                refuse_unfit(self.info, out[:, start : start + count], self._position)
            self._position += count
        return out

    def close(self) -> None:
        self._file.close()

    def _fill(self, size: int) -> None:
        view, filled = self._raw.data, 0
        while filled < size:
            try:
                got = self._file.readinto(view[filled:size])
            except OSError as fault:
                raise SoundFileError(f"{self.info.path}: cannot be read: {fault.strerror}") from fault
            if not got:
                time_s = self._position / self.info.rate_hz
                raise SoundFileError(f"{self.info.path}: truncated while it was read, near {time_s:.3f} s")
            filled += got


def refuse_unfit(info: SoundInfo, block: Block, position: int) -> None:
    """Raises SoundFileError for the first sample that is not finite; `block` starts at `position`."""
    unfit = ~np.isfinite(block)
    frame = int(np.argmax(unfit.any(axis=0)))
    channel = int(np.argmax(unfit[:, frame]))
    value = "NaN" if np.isnan(block[channel, frame]) else "infinite"
    at = f"{(position + frame) / info.rate_hz:.6f} s (frame {position + frame}, channel {channel + 1})"
    raise SoundFileError(f"{info.path}: the sample at {at} is {value}; only finite samples are sound")
