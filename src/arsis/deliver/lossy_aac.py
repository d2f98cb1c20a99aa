"""AAC in MPEG-4 by way of PyAV: FFmpeg's own coder."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from arsis.errors import SoundFileError
from arsis.io.whole import WholeFile

if TYPE_CHECKING:
    import av.audio.frame

# libavformat/avformat.h and libavcodec/avcodec.h: nothing of clocks and versions in the file.
_FORMAT_BITEXACT = 0x0400
_CODEC_BITEXACT = 1 << 23

# Noise substitution and intensity stereo (ISO/IEC 14496-3:2019, 4.6.13, 4.6.8.2) put parameters in the
# waveform's place, which is meant for low bit rates. This coder uses them at 256 kbit/s as well: measured
# there on three songs limited to -1 dBTP, single blocks then come out 1 to 6 dB too high, and without both
# the error is the lowest (docs/codecs.md).
_CODER = {"aac_pns": "0", "aac_is": "0"}


class AacSink:
    """The coder at work on a whole file.

    The file's edit list says where the sound begins after the coder's priming (1024 frames) and how long
    it is; its clock runs at the sound's rate, so that both are exact.
    """

    def __init__(self, file: WholeFile, path: str | Path, kbps: float, rate_hz: int, channels: int) -> None:
        import av

        self._path, self._rate_hz = path, rate_hz
        self._layout = ("mono", "stereo")[channels - 1]
        self._bytes = _Bytes(file)
        self._box = av.open(
            self._bytes,
            "w",
            format="ipod",
            container_options={"movie_timescale": str(rate_hz)},
        )
        self._box.flags |= _FORMAT_BITEXACT
        self._stream = self._box.add_stream("aac", rate=rate_hz)
        coder = self._stream.codec_context
        coder.layout, coder.format = self._layout, "fltp"
        coder.bit_rate = round(kbps * 1000.0)
        coder.flags |= _CODEC_BITEXACT
        coder.options = _CODER
        coder.thread_count = 1
        coder.open()
        self._frame = coder.frame_size
        self._at = 0
        self._is_open = True

    def append(self, interleaved: NDArray[np.float32]) -> None:
        """The next frames, (frames, channels): whole frames of the coder, but for the last call."""
        for start in range(0, interleaved.shape[0], self._frame):
            self._code(interleaved[start : start + self._frame])

    def _code(self, sound: NDArray[np.float32]) -> None:
        import av

        frame = av.AudioFrame.from_ndarray(np.ascontiguousarray(sound.T), format="fltp", layout=self._layout)
        frame.sample_rate, frame.pts = self._rate_hz, self._at
        self._at += sound.shape[0]
        self._mux(frame)

    def _mux(self, frame: av.audio.frame.AudioFrame | None) -> None:
        for packet in self._stream.encode(frame):
            self._box.mux(packet)
        self._bytes.check()

    def finish(self, frames: int, serial: int) -> None:
        """What follows the last frame."""
        self._mux(None)
        self._is_open = False
        self._box.close()
        self._bytes.check()
        if self._at != frames:
            raise SoundFileError(f"{self._path}: cannot be written: the coder did not take all of the sound")

    def close(self) -> None:
        if self._is_open:
            self._is_open = False
            self._box.close()


class _Bytes:
    """A whole file as libavformat wants one.

    It is never told of a fault, which it would hide among its own: `check` raises it.
    """

    def __init__(self, file: WholeFile) -> None:
        self._file, self._at = file, 0
        self._fault: SoundFileError | None = None

    def check(self) -> None:
        if self._fault is not None:
            raise self._fault

    def write(self, data: bytes) -> int:
        if self._fault is None:
            try:
                self._file.write(data)
            except SoundFileError as fault:
                self._fault = fault
        self._at += len(data)
        return len(data)

    def seek(self, offset: int, whence: int = 0) -> int:
        if whence == 1:
            offset += self._at
        elif whence == 2:
            raise ValueError("the end of a file that grows is not known")
        self._file.seek(offset)
        self._at = offset
        return offset

    def tell(self) -> int:
        return self._at
