"""Lossy files, written whole from a stream of sound, and read back in step with what was fed.

The coder is given the finished sound as floats: no word length is reduced, so nothing is dithered, and the
true peaks are held by the ceiling before it. sound_sha256 is of what was fed, as float32.
"""

from __future__ import annotations

import contextlib
import hashlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from arsis.audio import BLOCK_FRAMES, Block
from arsis.dsp.resample import Resampler
from arsis.errors import SoundFileError
from arsis.io.read import SoundReader, open_sound
from arsis.io.whole import replace_whole
from arsis.plan.coders import coder_rate_hz
from arsis.plan.profile import Codec

from .coding import check_coding

PIECE_FRAMES = 4096  # given to a coder at once: whole frames of AAC


@dataclass(frozen=True, slots=True)
class Encoded:
    """A finished lossy file. rate_hz: of the coded sound. fed_frames, fed_rate_hz: of what was given.

    sound_sha256: of what was given, float32, little-endian, interleaved.
    """

    path: Path
    codec: Codec
    kbps: float
    rate_hz: int
    channels: int
    fed_frames: int
    fed_rate_hz: int
    bytes: int
    sha256: str
    sound_sha256: str


class _Sink(Protocol):
    def append(self, interleaved: NDArray[np.float32]) -> None: ...
    def finish(self, frames: int, serial: int) -> None: ...
    def close(self) -> None: ...


class LossyWriter:
    """A lossy file on its way. frames: fed so far; the digests are there once it is finished."""

    def __init__(self, sink: _Sink, path: str | Path, codec: Codec, rate_hz: int, channels: int) -> None:
        self.frames = 0
        self.coded_frames = 0
        self.sha256: str | None = None
        self.sound_sha256: str | None = None
        self._sink, self._path = sink, path
        self._rate_hz, self._channels = rate_hz, channels
        self._resampler = Resampler(rate_hz, coder_rate_hz(codec, rate_hz), channels)
        self._digest = hashlib.sha256()
        self._left = np.empty((0, channels), dtype="<f4")

    def write(self, block: Block) -> None:
        """Appends finished sound, (channels, frames) of float64, full scale 1.0.

        Raises SoundFileError for what is not finite and for what the disk refuses.
        """
        if block.dtype != np.float64 or block.shape[:-1] != (self._channels,):
            raise ValueError(f"{block.dtype} of shape {block.shape} where the coder takes float64")
        for start in range(0, block.shape[1], BLOCK_FRAMES):
            part = block[:, start : start + BLOCK_FRAMES]
            if not np.isfinite(part).all():
                at = (self.frames + int(np.argmax(~np.isfinite(part).all(axis=0)))) / self._rate_hz
                raise SoundFileError(
                    f"{self._path}: the sample at {at:.6f} s is not a finite number; nothing was written"
                )
            self._digest.update(_interleaved(part).data)
            self.frames += part.shape[1]
            self._code(self._resampler.process(np.ascontiguousarray(part)))

    def finish(self) -> None:
        """What follows the last block; called on leaving the `with` of `write_lossy`."""
        if self.frames == 0:
            raise SoundFileError(f"{self._path}: there is no sound to write: zero frames")
        self._code(self._resampler.process(np.zeros((self._channels, 0)), last=True))
        if self._left.shape[0]:
            self._sink.append(self._left)
        self.sound_sha256 = self._digest.hexdigest()
        # The number of an Ogg stream: the same for the same sound, another for another.
        self._sink.finish(self.coded_frames, int(self.sound_sha256[:8], 16))

    def _code(self, block: Block) -> None:
        """In pieces of one size whatever comes in: libvorbis looks ahead as far as it was given sound."""
        sound = np.concatenate([self._left, _interleaved(block)])
        whole = sound.shape[0] // PIECE_FRAMES * PIECE_FRAMES
        for start in range(0, whole, PIECE_FRAMES):
            self._sink.append(sound[start : start + PIECE_FRAMES])
        self._left = sound[whole:]
        self.coded_frames += block.shape[1]


def _interleaved(block: Block) -> NDArray[np.float32]:
    return np.ascontiguousarray(block.T, dtype="<f4")


@contextlib.contextmanager
def write_lossy(
    path: str | Path, codec: Codec, kbps: float, rate_hz: int, channels: int
) -> Iterator[LossyWriter]:
    """A writer for `path`, which appears or is replaced when the body ends well, and not otherwise.

    Raises ArsisError where the coder is not there or does not take the bit rate, SoundFileError where the
    disk is at fault.
    """
    check_coding(codec, kbps, rate_hz, channels)
    with replace_whole(path, SoundFileError) as file, contextlib.ExitStack() as stack:
        to_hz = coder_rate_hz(codec, rate_hz)
        sink: _Sink
        if codec == "aac":
            from .lossy_aac import AacSink

            sink = AacSink(file, path, kbps, to_hz, channels)
        else:
            from .lossy_sndfile import SndfileSink

            sink = SndfileSink(file, path, codec, kbps, to_hz, channels)
        stack.enter_context(contextlib.closing(sink))
        writer = LossyWriter(sink, path, codec, rate_hz, channels)
        yield writer
        writer.finish()
        writer.sha256 = file.sha256()


def encode(
    path: str | Path, blocks: Iterable[Block], codec: Codec, kbps: float, rate_hz: int, channels: int
) -> Encoded:
    """Codes a stream of blocks to a whole file. Raises as `write_lossy`."""
    with write_lossy(path, codec, kbps, rate_hz, channels) as writer:
        for block in blocks:
            writer.write(block)
    if writer.sha256 is None or writer.sound_sha256 is None:
        raise AssertionError("a finished file has its digests")
    return Encoded(
        path=Path(path),
        codec=codec,
        kbps=kbps,
        rate_hz=coder_rate_hz(codec, rate_hz),
        channels=channels,
        fed_frames=writer.frames,
        fed_rate_hz=rate_hz,
        bytes=Path(path).stat().st_size,
        sha256=writer.sha256,
        sound_sha256=writer.sound_sha256,
    )


def decode(path: str | Path) -> SoundReader:
    """A reader of a lossy file as floats, what lies past full scale kept, in step with what was fed.

    Its first frame is the first that was fed and its length is that of the coded sound: the coder's delay
    and padding are taken off by what the file says of them. Raises SoundFileError as `open_sound`.
    """
    return open_sound(path)
