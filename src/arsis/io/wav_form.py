"""What stands before and after the sound in a WAV file that arsis writes.

One and two channels of up to 24 bits are written as plain WAVE_FORMAT_PCM with a 16-byte fmt chunk: every
reader takes it, and EBU Tech 3285 (broadcast WAV) asks for it. The extensible form would add only a
speaker mask, which says nothing new about mono and stereo, and some hardware refuses it.
28 bytes are kept free, so that a file that outgrows 4 GiB becomes RF64 in place (EBU Tech 3306, 2009).
"""

from __future__ import annotations

import struct
from dataclasses import dataclass, replace

from arsis.dsp.kernels.pcm import Word

from .chunks import UNKNOWN_SIZE
from .wav import IEEE_FLOAT, PCM

MOST_RIFF_BYTES = 0xFFFFFFFF


@dataclass(frozen=True, slots=True)
class WavForm:
    """The frame around the sound. ahead, chunks: (id, bytes) pairs before and after it."""

    rate_hz: int
    channels: int
    word: Word
    chunks: tuple[tuple[bytes, bytes], ...] = ()
    ahead: tuple[tuple[bytes, bytes], ...] = ()

    def with_chunks(self, chunks: tuple[tuple[bytes, bytes], ...]) -> WavForm:
        """The same around these chunks: one with the id of a chunk ahead of the sound takes its place.

        Raises ValueError where it is not as long: what stands before the sound cannot grow.
        """
        given = dict(chunks)
        ahead = tuple((name, given.get(name, data)) for name, data in self.ahead)
        if any(len(new) != len(old) for (_, new), (_, old) in zip(ahead, self.ahead, strict=True)):
            raise ValueError("a chunk ahead of the sound has changed its length")
        held = {name for name, _ in ahead}
        behind = tuple(pair for pair in chunks if pair[0] not in held)
        return replace(self, ahead=ahead, chunks=behind)

    def head(self, frames: int) -> bytes:
        """All that stands before the sound, always equally long."""
        data_size = frames * self.channels * self.word.width
        body = b"".join(chunk(name, data) for name, data in self.ahead)
        body += self._format() + (self._fact(frames) if self.word.is_float else b"")
        size = 4 + 36 + len(body) + 8 + data_size + len(self.tail(frames))
        if size <= MOST_RIFF_BYTES:
            return (
                struct.pack("<4sI4s", b"RIFF", size, b"WAVE")
                + chunk(b"JUNK", bytes(28))
                + body
                + (struct.pack("<4sI", b"data", data_size))
            )
        long_sizes = struct.pack("<QQQI", size, data_size, frames, 0)
        return (
            struct.pack("<4sI4s", b"RF64", UNKNOWN_SIZE, b"WAVE")
            + chunk(b"ds64", long_sizes)
            + body
            + (struct.pack("<4sI", b"data", UNKNOWN_SIZE))
        )

    def tail(self, frames: int) -> bytes:
        """All that follows the sound."""
        padding = bytes(frames * self.channels * self.word.width % 2)
        return padding + b"".join(chunk(name, data) for name, data in self.chunks)

    def _format(self) -> bytes:
        frame_bytes = self.channels * self.word.width
        tag = IEEE_FLOAT if self.word.is_float else PCM
        bits = 8 * self.word.width
        body = struct.pack(
            "<HHIIHH", tag, self.channels, self.rate_hz, self.rate_hz * frame_bytes, frame_bytes, bits
        )
        return chunk(b"fmt ", body + (struct.pack("<H", 0) if self.word.is_float else b""))

    def _fact(self, frames: int) -> bytes:
        """Asked for beside every format but PCM."""
        return chunk(b"fact", struct.pack("<I", min(frames, UNKNOWN_SIZE)))


def chunk(name: bytes, data: bytes) -> bytes:
    """A chunk with its size and, where the count is odd, its padding."""
    return struct.pack("<4sI", name, len(data)) + data + bytes(len(data) % 2)
