"""Writes FLAC through libsndfile, which is given integers so that it rounds nothing."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import soundfile
from numpy.typing import NDArray

from arsis.audio import Block
from arsis.dsp.kernels.pcm import Word
from arsis.errors import SoundFileError

from .whole import WholeFile


class FlacSink:
    """A FLAC encoder at libFLAC's default effort."""

    def __init__(self, file: WholeFile, path: str | Path, rate_hz: int, channels: int, word: Word) -> None:
        self._file = file
        self._path = path
        self._shift = 32 - 8 * word.width  # libsndfile takes words with their top bit at the top of 32
        subtype = {2: "PCM_16", 3: "PCM_24"}[word.width]
        try:
            self._sound = soundfile.SoundFile(
                file.fileno(), "w", rate_hz, channels, subtype, format="FLAC", closefd=False
            )
        except soundfile.LibsndfileError as fault:
            raise SoundFileError(f"{path}: cannot be written as FLAC: {fault.error_string}") from fault

    def append(self, samples: NDArray[np.int32] | Block) -> bool:
        words = samples.astype(np.int32, copy=False)
        if not np.array_equal(words << self._shift >> self._shift, words):
            return False
        interleaved = np.ascontiguousarray(words.T << self._shift)
        with libsndfile_faults(self._path):
            self._sound.buffer_write(interleaved, "int32")
        return True

    def finish(self, frames: int) -> str:
        """Closes the stream, and reads its end: the encoder does not tell whether its last bytes arrived."""
        with libsndfile_faults(self._path):
            self._sound.close()
            self._file.seek(0)
            with soundfile.SoundFile(self._file.fileno(), closefd=False) as written:
                written.seek(frames - 1)
                written.read(1, dtype="int32")
        return self._file.sha256()

    def close(self) -> None:
        with contextlib.suppress(soundfile.LibsndfileError):
            self._sound.close()


@contextlib.contextmanager
def libsndfile_faults(path: str | Path) -> Iterator[None]:
    """Turns what libsndfile says of a disk that takes no more into the message of the file at `path`."""
    try:
        yield
    except (soundfile.LibsndfileError, AssertionError) as fault:  # soundfile asserts that all was taken
        raise SoundFileError(
            f"{path}: cannot be written: the disk did not take it; nothing was changed"
        ) from fault
