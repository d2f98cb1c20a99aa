"""Chunks of sound in memory, as they go to the page, and no more of them than a bound."""

from __future__ import annotations

import hashlib
from collections import OrderedDict
from dataclasses import dataclass
from threading import Lock

import numpy as np
from numpy.typing import NDArray

MOST_BYTES = 768 * 2**20
_MOST_GUESSES = 20_000


@dataclass(frozen=True, slots=True)
class Chunk:
    """A second of a sound: float32 little endian, all of the left, then all of the right.

    exact: known to be what the whole render has there.
    """

    data: bytes
    sha256: str
    exact: bool


def chunk_of(sound: NDArray[np.float32], exact: bool) -> Chunk:
    """A chunk of (channels, frames); one channel is heard on both sides."""
    data = np.broadcast_to(sound, (2, sound.shape[1])).astype("<f4", copy=False).tobytes()
    return Chunk(data, hashlib.sha256(data).hexdigest(), exact)


class ChunkStore:
    """Keeps what was used last. Safe for several threads."""

    def __init__(self, most_bytes: int = MOST_BYTES) -> None:
        self._most, self._bytes, self._lock = most_bytes, 0, Lock()
        self._kept: OrderedDict[tuple[str, int], Chunk] = OrderedDict()
        self._guesses: OrderedDict[tuple[str, int], str] = OrderedDict()

    def get(self, key: str, number: int) -> Chunk | None:
        with self._lock:
            chunk = self._kept.get((key, number))
            if chunk is not None:
                self._kept.move_to_end((key, number))
            return chunk

    def put(self, key: str, number: int, chunk: Chunk) -> None:
        """Keeps a chunk; one that is not exact never in the place of one that is."""
        with self._lock:
            at = (key, number)
            if not chunk.exact:
                self._guesses[at] = chunk.sha256
                if len(self._guesses) > _MOST_GUESSES:
                    self._guesses.popitem(last=False)
            old = self._kept.get(at)
            if old is not None and old.exact and not chunk.exact:
                return
            self._kept[at] = chunk
            self._kept.move_to_end(at)
            self._bytes += len(chunk.data) - (len(old.data) if old is not None else 0)
            while self._bytes > self._most and len(self._kept) > 1:
                self._bytes -= len(self._kept.popitem(last=False)[1].data)

    def guessed_otherwise(self, key: str, sha256: tuple[str, ...]) -> list[int]:
        """Chunks that were given before they were exact and differ from these, the exact ones."""
        with self._lock:
            guesses = [(number, self._guesses.pop((key, number), one)) for number, one in enumerate(sha256)]
        return [number for number, guess in guesses if guess != sha256[number]]
