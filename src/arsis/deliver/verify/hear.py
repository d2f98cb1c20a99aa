"""One sound file read from front to back, once: its format, its words, its meters, its silences."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from arsis.audio import BLOCK_FRAMES
from arsis.deliver.finish_file import to_words
from arsis.deliver.hearing import FileEar
from arsis.deliver.manifest import SoundFacts
from arsis.io.info import SoundInfo
from arsis.io.read import SoundReader, open_sound
from arsis.render.words import Word

# RF64 and BW64 are WAV that outgrew 4 GiB.
_CONTAINERS = {"rf64": "wav", "bw64": "wav"}


@dataclass(frozen=True, slots=True)
class Heard:
    """What one pass over a file says of it: the same figures as the manifest's, by the same meters.

    Of a lossy file they are of what it decodes to, so its digest is another than the manifest's.
    """

    info: SoundInfo
    facts: SoundFacts


def hear(path: Path) -> Heard:
    """Reads a whole file. Raises SoundFileError where it cannot be read to its end."""
    with open_sound(path) as sound:
        info = sound.info
        word = word_of(info)
        ear = FileEar(info.rate_hz, info.channels, word)
        while (block := sound.read(BLOCK_FRAMES)).shape[1]:
            ear.hear(to_words(block, word))
    container = _CONTAINERS.get(info.container, info.container)
    if info.is_lossy:  # called by its coder, as the profile has it
        container = info.encoding
    return Heard(info, ear.facts(container, is_lossy=info.is_lossy))


def word_of(info: SoundInfo) -> Word:
    """The word of a file; a lossy one is heard as floats."""
    return Word(info.bits or 32, is_float=info.is_float or info.bits is None)


def piece_digests(path: Path, lengths: tuple[int, ...]) -> tuple[str, ...]:
    """The digests of the words of pieces one after another; fewer where the file ends before.

    Raises SoundFileError where the file cannot be read.
    """
    digests = []
    with open_sound(path) as sound:
        for frames in lengths:
            digest = hashlib.sha256()
            if not _add(digest, sound, frames):
                break
            digests.append(digest.hexdigest())
    return tuple(digests)


def order_of_pieces(path: Path, pieces: Mapping[str, tuple[int, str]]) -> list[str] | None:
    """The names of pieces, of which length and digest are known, as they lie in a file one after another.

    None where another sound lies among them. Raises SoundFileError where the file cannot be read.
    """
    left, order = dict(pieces), []
    with open_sound(path) as sound:
        while left:
            name = _next_piece(sound, left)
            if name is None:
                return None
            order.append(name)
            del left[name]
    return order


def _next_piece(sound: SoundReader, pieces: Mapping[str, tuple[int, str]]) -> str | None:
    """The piece that begins where the file was read to; it is read to that piece's end."""
    digest, came = hashlib.sha256(), 0
    for frames in sorted({frames for frames, _ in pieces.values()}):
        if not _add(digest, sound, frames - came):
            return None
        came, found = frames, (frames, digest.hexdigest())
        name = next((name for name, piece in pieces.items() if piece == found), None)
        if name is not None:
            return name
    return None


def _add(digest: hashlib._Hash, sound: SoundReader, frames: int) -> bool:
    """Adds the next frames' words to a digest; False where there are not so many."""
    word = word_of(sound.info)
    kind = "<f4" if word.is_float else "<i4"
    for start in range(0, frames, BLOCK_FRAMES):
        count = min(BLOCK_FRAMES, frames - start)
        block = sound.read(count)
        digest.update(np.ascontiguousarray(to_words(block, word).T, dtype=kind).data)
        if block.shape[1] < count:
            return False
    return True
