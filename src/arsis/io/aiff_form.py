"""What stands before and after the sound in an AIFF file that arsis writes; AIFF-C where it is float."""

from __future__ import annotations

import struct
from dataclasses import dataclass, replace

from arsis.dsp.kernels.pcm import Word
from arsis.errors import SoundFileError

from .aiff import float_to_extended

MOST_FORM_BYTES = 0xFFFFFFFF
_AIFC_VERSION_1 = 0xA2805140  # AIFF-C draft 8/26/91, "Format Version Chunk"
_FLOAT_NAME = b"\x0c32-bit float\x00"  # a Pascal string, padded to an even count


@dataclass(frozen=True, slots=True)
class AiffForm:
    """The frame around the sound. chunks: (id, bytes) pairs that follow it."""

    rate_hz: int
    channels: int
    word: Word
    chunks: tuple[tuple[bytes, bytes], ...]

    def with_chunks(self, chunks: tuple[tuple[bytes, bytes], ...]) -> AiffForm:
        """The same before these chunks."""
        return replace(self, chunks=chunks)

    def head(self, frames: int) -> bytes:
        """All that stands before the sound, always equally long. Raises SoundFileError past 4 GiB."""
        data_size = frames * self.channels * self.word.width
        common = struct.pack(">hIh", self.channels, frames, 8 * self.word.width)
        common += float_to_extended(self.rate_hz)
        if self.word.is_float:
            body = _chunk(b"FVER", struct.pack(">I", _AIFC_VERSION_1)) + _chunk(
                b"COMM", common + b"fl32" + _FLOAT_NAME
            )
        else:
            body = _chunk(b"COMM", common)
        size = 4 + len(body) + 16 + data_size + len(self.tail(frames))
        if size > MOST_FORM_BYTES:
            raise SoundFileError("an AIFF file holds at most 4 GiB; choose WAV for a sound this long")
        kind = b"AIFC" if self.word.is_float else b"AIFF"
        sound = struct.pack(">4sIII", b"SSND", data_size + 8, 0, 0)
        return struct.pack(">4sI4s", b"FORM", size, kind) + body + sound

    def tail(self, frames: int) -> bytes:
        """All that follows the sound."""
        padding = bytes(frames * self.channels * self.word.width % 2)
        return padding + b"".join(_chunk(name, data) for name, data in self.chunks)


def _chunk(name: bytes, data: bytes) -> bytes:
    return struct.pack(">4sI", name, len(data)) + data + bytes(len(data) % 2)
