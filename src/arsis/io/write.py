"""Writes sound files that appear whole or not at all."""

from __future__ import annotations

import contextlib
import hashlib
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Protocol, cast

import numpy as np
from numpy.typing import NDArray

from arsis.audio import BLOCK_FRAMES, Block
from arsis.dsp.kernels.pcm import Word, pack
from arsis.errors import SoundFileError

from .aiff_form import AiffForm
from .info import check_rate
from .wav_form import WavForm
from .whole import WholeFile, replace_whole

Samples = NDArray[np.int32] | Block
Chunks = tuple[tuple[bytes, bytes], ...]
LateChunks = Callable[[], Chunks]

_INTEGERS = {"pcm_s16": 2, "pcm_s24": 3, "pcm_s32": 4}
ENCODINGS = {
    "wav": ("pcm_s16", "pcm_s24", "pcm_s32", "float32"),
    "aiff": ("pcm_s16", "pcm_s24", "pcm_s32", "float32"),
    "flac": ("pcm_s16", "pcm_s24"),
}
_EXTENSIONS = {
    ".wav": "wav",
    ".wave": "wav",
    ".aif": "aiff",
    ".aiff": "aiff",
    ".aifc": "aiff",
    ".flac": "flac",
}


class _Form(Protocol):
    def with_chunks(self, chunks: Chunks) -> _Form: ...
    def head(self, frames: int) -> bytes: ...
    def tail(self, frames: int) -> bytes: ...


class _Sink(Protocol):
    def append(self, samples: Samples) -> bool: ...
    def finish(self, frames: int) -> str: ...


def container_of(path: str | Path) -> str:
    """The container that a name asks for. Raises SoundFileError for one that arsis does not write."""
    suffix = Path(path).suffix.lower()
    if suffix not in _EXTENSIONS:
        raise SoundFileError(
            f"{path}: cannot write {suffix or 'a name without an end'}; allowed: .wav, .aiff, .flac"
        )
    return _EXTENSIONS[suffix]


class SoundWriter:
    """A sound file on its way. frames: written so far; sha256: of the finished file, None before."""

    def __init__(self, sink: _Sink, path: str | Path, rate_hz: int, channels: int, dtype: type) -> None:
        self.frames = 0
        self.sha256: str | None = None
        self._sink = sink
        self._path = path
        self._rate_hz = rate_hz
        self._channels = channels
        self._dtype = dtype

    def write(self, block: Samples) -> None:
        """Appends (channels, frames) of int32 for integer encodings, of float64 for float32.

        Raises SoundFileError for floats that are not finite in 32 bits and for what the disk refuses.
        """
        if block.dtype != self._dtype or block.shape[:-1] != (self._channels,):
            wanted = f"{np.dtype(self._dtype)} of {self._channels} channels"
            raise ValueError(f"{block.dtype} of shape {block.shape} where the file takes {wanted}")
        for start in range(0, block.shape[1], BLOCK_FRAMES):
            part = cast(Samples, np.ascontiguousarray(block[:, start : start + BLOCK_FRAMES]))
            if not self._sink.append(part):
                self._refuse(part)
            self.frames += part.shape[1]

    def finish(self) -> None:
        """What follows the last block; called on leaving the `with` of `write_sound`."""
        if self.frames == 0:
            raise SoundFileError(f"{self._path}: there is no sound to write: zero frames")
        self.sha256 = self._sink.finish(self.frames)

    def _refuse(self, part: Samples) -> None:
        if self._dtype is np.int32:
            raise ValueError("an integer does not fit the word of the file")
        with np.errstate(over="ignore"):
            unfit = ~np.isfinite(part.astype(np.float32)).all(axis=0)
        at = (self.frames + int(np.argmax(unfit))) / self._rate_hz
        raise SoundFileError(
            f"{self._path}: the sample at {at:.6f} s is not a finite number; nothing was written"
        )


@contextlib.contextmanager
def write_sound(
    path: str | Path,
    rate_hz: int,
    channels: int,
    encoding: str = "pcm_s24",
    container: str = "wav",
    chunks: Chunks | LateChunks = (),
    ahead: Chunks = (),
    frames: int | None = None,
) -> Iterator[SoundWriter]:
    """A writer for `path`, which appears or is replaced when the body ends well, and not otherwise.

    chunks: (id, bytes) pairs that follow the sound in WAV and AIFF; or what gives them, asked once when
    the last block is written.
    ahead: pairs that stand before the sound of a WAV file. One of `chunks` with the id of one ahead takes
    its place there, and is as long: so what is known only at the end can stand at the start.
    frames: how many will come, where that is known: the checksum is then made on the way, at no cost.
    Raises SoundFileError where the request or the disk is at fault.
    """
    _check_request(path, rate_hz, channels, encoding, container)
    _check_chunks(container, ahead, chunks)
    word = Word(_INTEGERS.get(encoding, 4), is_big_endian=container == "aiff", is_float=encoding == "float32")
    with replace_whole(path, SoundFileError) as file, contextlib.ExitStack() as stack:
        sink: _Sink
        if container == "flac":
            from .flac import FlacSink  # libsndfile is loaded only where it is needed

            sink = stack.enter_context(contextlib.closing(FlacSink(file, path, rate_hz, channels, word)))
        else:
            known = () if callable(chunks) else chunks
            form = (
                AiffForm(rate_hz, channels, word, known)
                if container == "aiff"
                else WavForm(rate_hz, channels, word, ahead=ahead).with_chunks(known)
            )
            late = chunks if callable(chunks) else None
            sink = _WordSink(file, form, channels, word, frames, late)
        writer = SoundWriter(sink, path, rate_hz, channels, np.float64 if word.is_float else np.int32)
        yield writer
        writer.finish()


class _WordSink:
    """Plain words between a head and a tail. The head is right from the start where the length is known."""

    def __init__(
        self,
        file: WholeFile,
        form: _Form,
        channels: int,
        word: Word,
        frames: int | None,
        late: LateChunks | None,
    ) -> None:
        self._file = file
        self._form = form
        self._late = late
        self._word = word
        self._raw = np.empty(BLOCK_FRAMES * channels * word.width, np.uint8)
        # Where the head will change, what is summed on the way is in vain.
        self._digest = hashlib.sha256() if frames and late is None else None
        self._head = form.head(frames or 0)
        self._put(self._head)

    def append(self, samples: Samples) -> bool:
        if not pack(samples, self._word, self._raw):
            return False
        self._put(self._raw[: samples.size * self._word.width].data)
        return True

    def finish(self, frames: int) -> str:
        if self._late is not None:
            chunks = self._late()
            _check_ids(chunks)
            self._form = self._form.with_chunks(chunks)
        self._put(self._form.tail(frames))
        head = self._form.head(frames)
        if self._digest is not None and head == self._head:
            return self._digest.hexdigest()
        self._file.seek(0)
        self._file.write(head)
        return self._file.sha256()

    def _put(self, data: bytes | memoryview) -> None:
        if self._digest is not None:
            self._digest.update(data)
        self._file.write(data)


def _check_request(path: str | Path, rate_hz: int, channels: int, encoding: str, container: str) -> None:
    check_rate(path, rate_hz)
    if channels not in (1, 2):
        raise SoundFileError(f"{path}: cannot write {channels} channels; allowed: 1 or 2")
    if container not in ENCODINGS:
        raise SoundFileError(f"{path}: cannot write {container!r}; allowed: {', '.join(ENCODINGS)}")
    if encoding not in ENCODINGS[container]:
        allowed = ", ".join(ENCODINGS[container])
        raise SoundFileError(f"{path}: {container} is not written as {encoding!r}; allowed: {allowed}")


def _check_chunks(container: str, ahead: Chunks, chunks: Chunks | LateChunks) -> None:
    if container == "flac" and chunks:
        raise ValueError("a FLAC file holds no chunks")
    if container != "wav" and ahead:
        raise ValueError("only a WAV file holds chunks ahead of its sound")
    _check_ids(ahead)
    if not callable(chunks):
        _check_ids(chunks)


def _check_ids(chunks: Chunks) -> None:
    if any(len(name) != 4 or name in (b"data", b"SSND") for name, _ in chunks):
        raise ValueError("a chunk's id is four bytes, and none of the sound's own")
