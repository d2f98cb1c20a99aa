"""Reads AAC in MPEG-4 through PyAV, as floats, in step with what was coded."""

from __future__ import annotations

import io
from collections.abc import Iterator
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block
from arsis.errors import SoundFileError

from .info import SoundInfo, check_fit, truncated
from .pcm import refuse_unfit

if TYPE_CHECKING:
    import av.container


def has_av() -> bool:
    """Whether the extra `encode` is installed."""
    try:
        return find_spec("av") is not None
    except (ImportError, ValueError):  # hidden on purpose, or half taken away
        return False


class Mpeg4Reader:
    """An AAC file, read from front to back or from any frame; a jump back decodes from the start.

    The edit list says which frames are the sound's own (ISO/IEC 14496-12:2015, 8.6.6): libavformat takes
    the priming off, the padding at the end is taken off here.
    """

    def __init__(self, file: io.FileIO, path: Path) -> None:
        if not has_av():
            raise SoundFileError(
                f"{path}: MPEG-4 is read with the extra `encode`, which is not installed: "
                "pip install 'arsis[encode]'"
            )
        self._file, self._path = file, path
        self._position = 0
        self._box = self._open()
        self._decoded = self._frames()
        self._left: NDArray[np.float32] = np.empty((1, 0), dtype=np.float32)
        try:
            self.info = self._describe()
        except BaseException:
            self._box.close()
            raise

    def seek(self, frame: int) -> None:
        """The next read starts at `frame`."""
        if not 0 <= frame <= self.info.frames:
            raise ValueError(f"frame {frame} lies outside the file's {self.info.frames}")
        if frame < self._position:
            self._rewind()
        while self._position < frame:
            self.read(min(16_384, frame - self._position))

    def read(self, frames: int) -> Block:
        """Up to `frames` frames, fewer only at the end. Raises SoundFileError for what is no sound."""
        out = np.empty((self.info.channels, min(frames, self.info.frames - self._position)))
        filled = 0
        while filled < out.shape[1]:
            if not self._left.shape[1]:
                self._left = self._next(self._position + filled)
            count = min(self._left.shape[1], out.shape[1] - filled)
            out[:, filled : filled + count] = self._left[:, :count]
            self._left = self._left[:, count:]
            filled += count
        if not np.isfinite(out).all():
            refuse_unfit(self.info, out, self._position)
        self._position += filled
        return out

    def close(self) -> None:
        self._box.close()
        self._file.close()

    def _next(self, frame: int) -> NDArray[np.float32]:
        import av

        try:
            sound = next(self._decoded)
        except StopIteration:
            raise truncated(self._path, self.info.duration_s, frame / self.info.rate_hz) from None
        except av.error.FFmpegError as fault:
            time_s = frame / self.info.rate_hz
            raise SoundFileError(f"{self._path}: damaged or truncated near {time_s:.3f} s") from fault
        if sound.shape[0] != self.info.channels:
            raise SoundFileError(f"{self._path}: changes its number of channels within the sound")
        return sound

    def _rewind(self) -> None:
        self._box.close()
        self._box = self._open()
        self._decoded = self._frames()
        self._left = self._left[:, :0]
        self._position = 0

    def _open(self) -> av.container.InputContainer:
        import av

        self._file.seek(0)
        try:
            return av.open(self._file, "r", format="mp4", metadata_errors="replace")
        except av.error.FFmpegError as fault:
            raise SoundFileError(
                f"{self._path}: damaged or truncated: its MPEG-4 header cannot be read"
            ) from fault

    def _frames(self) -> Iterator[NDArray[np.float32]]:
        for frame in self._box.decode(self._box.streams.audio[0]):
            yield frame.to_ndarray().astype(np.float32, copy=False)

    def _describe(self) -> SoundInfo:
        streams = self._box.streams.audio
        coder = streams[0].codec_context if streams else None
        if coder is None or coder.name != "aac":
            found = "no sound that is known" if coder is None else coder.name
            raise SoundFileError(f"{self._path}: unsupported encoding: {found} in MPEG-4; allowed: AAC")
        stream = streams[0]
        ticks = (stream.duration or 0) * (stream.time_base or 0) * stream.rate
        return check_fit(
            SoundInfo(
                path=self._path,
                container="mp4",
                encoding="aac",
                bits=None,
                rate_hz=stream.rate,
                channels=coder.channels,
                frames=round(ticks),
                is_float=True,
                is_lossy=True,
            )
        )
