"""MP3, Opus and Vorbis by way of libsndfile: LAME, libopus and libvorbis."""

from __future__ import annotations

import contextlib
import io
import os
import struct
from functools import cache
from pathlib import Path

import numpy as np
import soundfile
from numpy.typing import NDArray

from arsis.io.flac import libsndfile_faults
from arsis.io.ogg import set_serial
from arsis.io.whole import WholeFile
from arsis.plan.profile import Codec

_FORMS = {"mp3": ("MP3", "MPEG_LAYER_III"), "opus": ("OGG", "OPUS"), "vorbis": ("OGG", "VORBIS")}
_NOMINAL_AT = 28 + 20  # of a Vorbis file: after the first page's head of 28 bytes (Vorbis I, 4.2.2)
_SEARCHES = 30  # halvings of the quality: to a billionth


class SndfileSink:
    """One coder at work on a whole file."""

    def __init__(
        self, file: WholeFile, path: str | Path, codec: Codec, kbps: float, rate_hz: int, channels: int
    ) -> None:
        self._file, self._path, self._codec = file, path, codec
        container, subtype = _FORMS[codec]
        level, mode = _effort(codec, kbps, rate_hz, channels)
        with libsndfile_faults(self._path):
            self._sound = soundfile.SoundFile(
                file.fileno(),
                "w",
                rate_hz,
                channels,
                subtype,
                format=container,
                closefd=False,
                compression_level=level,
                bitrate_mode=mode,
            )

    def append(self, interleaved: NDArray[np.float32]) -> None:
        """The next frames, (frames, channels)."""
        with libsndfile_faults(self._path):
            self._sound.buffer_write(interleaved, "float32")

    def finish(self, frames: int, serial: int) -> None:
        """Closes the stream and reads its end: a coder does not tell whether its last bytes arrived."""
        with libsndfile_faults(self._path):
            self._sound.close()
            self._file.seek(0)
            with soundfile.SoundFile(self._file.fileno(), closefd=False) as written:
                is_whole = written.frames == frames
                if self._codec == "mp3":  # its length is in its head: the end has to be seen
                    written.seek(frames - 1)
                    is_whole = is_whole and written.read(1).size > 0
            if not is_whole:
                raise AssertionError("short")
        if self._codec != "mp3":
            handle = self._file.fileno()
            with self._file.faults():
                set_serial(lambda at, size: _read_at(handle, at, size), self._write_at, serial)

    def _write_at(self, at: int, data: bytes) -> None:
        self._file.seek(at)
        self._file.write(data)

    def close(self) -> None:
        with contextlib.suppress(soundfile.LibsndfileError):
            self._sound.close()


def _read_at(handle: int, at: int, size: int) -> bytes:
    os.lseek(handle, at, os.SEEK_SET)
    return os.read(handle, size)


def _effort(codec: Codec, kbps: float, rate_hz: int, channels: int) -> tuple[float, str | None]:
    """libsndfile's level from 0 (best) to 1, which it turns into a bit rate again, and its mode, MP3 only.

    After libsndfile 1.2.2: mpeg_l3_encode.c (320 to 32 kbit/s), ogg_opus.c (256 to 6 kbit/s a channel) and
    ogg_vorbis.c (quality 1 to 0).
    """
    if codec == "mp3":
        return (320.0 - kbps) / (320.0 - 32.0), "CONSTANT"
    if codec == "opus":
        return (256.0 - kbps / channels) / (256.0 - 6.0), None
    return 1.0 - _vorbis_quality(kbps, rate_hz, channels), None


@cache
def _vorbis_quality(kbps: float, rate_hz: int, channels: int) -> float:
    """The quality whose nominal bit rate, as libvorbis writes it into the file, is this one."""
    low, high = 0.0, 1.0
    for _ in range(_SEARCHES):
        middle = (low + high) / 2.0
        low, high = (middle, high) if _nominal_kbps(middle, rate_hz, channels) < kbps else (low, middle)
    return high


@cache
def _nominal_kbps(quality: float, rate_hz: int, channels: int) -> float:
    head = _first_bytes("vorbis", rate_hz, channels, 1.0 - quality)
    return float(struct.unpack_from("<i", head, _NOMINAL_AT)[0]) / 1000.0


@cache
def maker(codec: Codec) -> str:
    """What the coder calls itself in its files."""
    head = _first_bytes(codec, 48_000, 2, 0.5)
    if codec == "mp3":
        at = head.index(b"LAME")
        return head[at : at + 9].rstrip(b"\0 ").decode("ascii", "replace")
    at = head.index(b"OpusTags" if codec == "opus" else b"\x03vorbis")
    at += 8 if codec == "opus" else 7
    (size,) = struct.unpack_from("<I", head, at)
    return head[at + 4 : at + 4 + size].decode("utf-8", "replace")


def _first_bytes(codec: Codec, rate_hz: int, channels: int, level: float) -> bytes:
    """A file with a frame of silence."""
    container, subtype = _FORMS[codec]
    file = io.BytesIO()
    with soundfile.SoundFile(
        file, "w", rate_hz, channels, subtype, format=container, compression_level=level
    ) as sound:
        sound.write(np.zeros((1, channels), dtype=np.float32))
    return file.getvalue()
