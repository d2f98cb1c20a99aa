"""Opens a sound file of any kind that arsis takes, and reads it as float64 from front to back."""

from __future__ import annotations

import io
from pathlib import Path
from types import TracebackType
from typing import Protocol

from arsis.audio import Block
from arsis.errors import SoundFileError

from . import aiff, wav
from .chunks import RIFF_IDS, read_at
from .info import SoundInfo
from .opening import open_plain
from .pcm import PcmReader

# What else turns up, by its first bytes or those from the fourth on, for the message only.
_STRANGERS = {
    b"caff": "Core Audio",
    b"wvpk": "WavPack",
    b".snd": "AU",
    b"riff": "Wave64",
    b"MAC ": "Monkey's Audio",
    b"\x30\x26\xb2\x75": "Windows Media",
    b"DSD ": "DSD",
    b"FRM8": "DSD",
    b"RIFX": "big-endian RIFF",
}


class _Source(Protocol):
    info: SoundInfo

    def read(self, frames: int) -> Block: ...
    def seek(self, frame: int) -> None: ...
    def close(self) -> None: ...


class SoundReader:
    """An open sound file. The file is opened for reading only, and closed on leaving a `with`."""

    def __init__(self, source: _Source) -> None:
        self._source = source
        self.info = source.info

    def read(self, frames: int) -> Block:
        """The next `frames` frames; fewer only at the end, none after it.

        Integers are value / 2^(bits-1), exactly; what lies past full scale in floats and lossy files
        is kept. Raises SoundFileError where a sample is not finite or the file breaks off.
        """
        return self._source.read(frames)

    def seek(self, frame: int) -> None:
        """The next read starts at `frame`, in [0, info.frames]."""
        self._source.seek(frame)

    def close(self) -> None:
        self._source.close()

    def __enter__(self) -> SoundReader:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


def open_sound(path: str | Path) -> SoundReader:
    """A reader for WAV, RF64, BW64, AIFF, AIFF-C, FLAC, Ogg Vorbis, Opus, MP3 or AAC, known by its content.

    Raises SoundFileError, with the reason, for anything else and for anything damaged.
    """
    file = open_plain(path)
    try:
        return SoundReader(_source(file, Path(path)))
    except OSError as fault:
        file.close()
        raise SoundFileError(f"{path}: cannot be read: {fault.strerror}") from fault
    except BaseException:
        file.close()
        raise


def read_all(path: str | Path) -> Block:
    """The whole sound, shape (channels, frames). Raises SoundFileError as `open_sound` does."""
    with open_sound(path) as sound:
        return sound.read(sound.info.frames)


def _source(file: io.FileIO, path: Path) -> _Source:
    head = read_at(file, 0, 16)
    if head[:4] in RIFF_IDS and head[8:12] == b"WAVE":
        return PcmReader(file, wav.read_layout(file, path))
    if head[:4] == b"FORM" and head[8:12] in (b"AIFF", b"AIFC"):
        return PcmReader(file, aiff.read_layout(file, path))
    if head[:4] in (*RIFF_IDS, b"FORM") and len(head) < 12:
        raise SoundFileError(f"{path}: truncated inside its header")
    if head[:4] in (b"fLaC", b"OggS") or head[:3] == b"ID3" or _is_mpeg_frame(head):
        from .compressed import CompressedReader  # libsndfile is loaded only where it is needed

        return CompressedReader(file, path)
    if head[4:8] == b"ftyp":
        from .mpeg4 import Mpeg4Reader  # FFmpeg's libraries are loaded only where they are needed

        return Mpeg4Reader(file, path)
    name = _STRANGERS.get(head[:4]) or _STRANGERS.get(head[4:8])
    allowed = "WAV, AIFF, FLAC, Ogg Vorbis, Opus, MP3, AAC"
    if name:
        raise SoundFileError(f"{path}: unsupported kind of file: {name}; allowed: {allowed}")
    raise SoundFileError(f"{path}: is not a sound file that arsis knows; allowed: {allowed}")


def _is_mpeg_frame(head: bytes) -> bool:
    """Eleven set bits and layer III (ISO/IEC 11172-3:1993, 2.4.2.3)."""
    return len(head) >= 2 and head[0] == 0xFF and head[1] & 0xE6 == 0xE2
