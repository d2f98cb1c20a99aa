"""Reads FLAC, Ogg Vorbis, Opus and MP3 through libsndfile.

FLAC is read as integers, so that every sample is exact. The lossy codecs are read as floats, so that
what they throw past full scale is kept.
"""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import soundfile

from arsis.audio import BLOCK_FRAMES, Block
from arsis.dsp.kernels.pcm import Word, unpack
from arsis.errors import SoundFileError

from .coded_length import Mp3View, mp3_length, ogg_end
from .info import SoundInfo, check_fit, truncated
from .pcm import refuse_unfit

_LOSSLESS = {"PCM_S8": ("pcm_s8", 8), "PCM_16": ("pcm_s16", 16), "PCM_24": ("pcm_s24", 24)}
_LOSSY = {"VORBIS": "vorbis", "OPUS": "opus", "MPEG_LAYER_III": "mp3"}
_UNKNOWN_FRAMES = 1 << 62  # libsndfile gives its largest count where a stream does not state its length


class CompressedReader:
    """A compressed file, read from front to back or from any frame.

    A jump in a lossy file decodes from the start: a decoder set down in the middle does not give the
    same samples (libsndfile 1.2.2 even lands elsewhere in Ogg Vorbis).
    """

    def __init__(self, file: io.FileIO, path: Path) -> None:
        self._file = file
        self._path = path
        self._view: Mp3View | None = None
        self._sound = _open(file, path)
        try:
            self.info = self._describe()
        except BaseException:
            self._sound.close()
            raise
        self._word = Word(8, is_float=True) if self.info.is_lossy else Word(4)
        self._raw = np.empty(BLOCK_FRAMES * self.info.channels * self._word.width, np.uint8)
        self._position = 0

    def seek(self, frame: int) -> None:
        """The next read starts at `frame`."""
        if not 0 <= frame <= self.info.frames:
            raise ValueError(f"frame {frame} lies outside the file's {self.info.frames}")
        if not self.info.is_lossy:
            self._sound.seek(frame)
            self._position = frame
            return
        if frame < self._position:
            self._rewind()
        while self._position < frame:
            self.read(min(BLOCK_FRAMES, frame - self._position))

    def read(self, frames: int) -> Block:
        """Up to `frames` frames, fewer only at the end. Raises SoundFileError for what is no sound."""
        out = np.empty((self.info.channels, min(frames, self.info.frames - self._position)))
        for start in range(0, out.shape[1], BLOCK_FRAMES):
            count = min(BLOCK_FRAMES, out.shape[1] - start)
            if self._decode(count) < count:
                raise truncated(self._path, self.info.duration_s, self._position / self.info.rate_hz)
            if not unpack(self._raw, self._word, out, start, count):
                refuse_unfit(self.info, out[:, start : start + count], self._position)
            self._position += count
        return out

    def close(self) -> None:
        self._sound.close()
        self._file.close()

    def _describe(self) -> SoundInfo:
        sound = self._sound
        encoding, bits = _LOSSLESS.get(sound.subtype, (_LOSSY.get(sound.subtype), None))
        if encoding is None:
            raise SoundFileError(
                f"{self._path}: unsupported encoding: {sound.subtype_info} in {sound.format_info}"
            )
        if sound.frames >= _UNKNOWN_FRAMES:
            raise SoundFileError(
                f"{self._path}: does not state its length (it was encoded into a pipe), so a missing end "
                "would go unnoticed; encode it again into a file"
            )
        frames, end_doubt = self._length(encoding)
        info = SoundInfo(
            path=self._path,
            container=sound.format.lower(),
            encoding=encoding,
            bits=bits,
            rate_hz=sound.samplerate,
            channels=sound.channels,
            frames=frames,
            is_float=bits is None,
            is_lossy=bits is None,
            end_doubt=end_doubt,
        )
        if info.is_lossy:
            self._rewind()  # the file was read beside the decoder
        return check_fit(info)

    def _length(self, encoding: str) -> tuple[int, str]:
        """Frames that can be read, and what makes it doubtful that they are all. Raises SoundFileError."""
        frames = int(self._sound.frames)
        if self._sound.format == "OGG":
            end, doubt = ogg_end(self._file, self._path)
            # Where the clock of a stream starts below zero, libsndfile promises more than there is to decode.
            # On a page where no sound ends, the clock is not set (-1).
            return min(frames, end) if encoding == "vorbis" and end >= 0 else frames, doubt
        if encoding != "mp3":
            return frames, ""
        found = mp3_length(self._file, self._path, self._sound.samplerate)
        if found.view is not None:
            self._view = found.view
            self._rewind()
        return int(self._sound.frames) if found.frames is None else found.frames, found.end_doubt

    def _rewind(self) -> None:
        self._sound.close()
        self._sound = _open(self._view or self._file, self._path)
        self._position = 0

    def _decode(self, frames: int) -> int:
        kind = "float64" if self.info.is_lossy else "int32"
        view = self._raw[: frames * self.info.channels * self._word.width].data
        try:
            return int(self._sound.buffer_read_into(view, kind))
        except soundfile.LibsndfileError as fault:
            time_s = self._position / self.info.rate_hz
            raise SoundFileError(f"{self._path}: damaged or truncated near {time_s:.3f} s") from fault


class _Forward(soundfile.SoundFile):  # type: ignore[misc]  # soundfile has no types
    """soundfile jumps after every read to where it already is, if it can: so it is told that it cannot.

    Such a jump starts the decoder of MP3 anew, without the bits that frames take from those long before them.
    """

    def seekable(self) -> bool:
        return False


def _open(file: io.FileIO | Mp3View, path: Path) -> _Forward:
    file.seek(0)
    try:
        return _Forward(file if isinstance(file, Mp3View) else file.fileno(), closefd=False)
    except soundfile.LibsndfileError as fault:
        reason = fault.error_string.strip(". ").lower()
        raise SoundFileError(f"{path}: damaged or truncated: its header cannot be read ({reason})") from fault
