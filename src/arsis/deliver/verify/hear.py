"""One sound file read from front to back, once: its format, its words, its meters, its silences."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from arsis.audio import BLOCK_FRAMES, Block
from arsis.deliver.hearing import FileEar
from arsis.deliver.manifest import SoundFacts
from arsis.io.info import SoundInfo
from arsis.io.read import open_sound
from arsis.render.words import Word, Words

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
        ear = FileEar(info.rate_hz, info.channels, word_of(info))
        while (block := sound.read(BLOCK_FRAMES)).shape[1]:
            ear.hear(to_words(block, info))
    container = _CONTAINERS.get(info.container, info.container)
    if info.is_lossy:  # called by its coder, as the profile has it
        container = info.encoding
    return Heard(info, ear.facts(container, is_lossy=info.is_lossy))


def word_of(info: SoundInfo) -> Word:
    """The word of a file; a lossy one is heard as floats."""
    return Word(info.bits or 32, is_float=info.is_float or info.bits is None)


def to_words(block: Block, info: SoundInfo) -> Words:
    """A block as read, in the words of its file: nothing is rounded."""
    word = word_of(info)
    if word.is_float:
        return block
    words: NDArray[np.int32] = (block * 2.0 ** (word.bits - 1)).astype(np.int32)
    return words


def piece_digests(path: Path, lengths: tuple[int, ...]) -> tuple[str, ...]:
    """The digests of the words of pieces one after another; fewer where the file ends before.

    Raises SoundFileError where the file cannot be read.
    """
    digests = []
    with open_sound(path) as sound:
        left = sound.info.frames
        for frames in lengths:
            if frames > left:
                break
            digest = hashlib.sha256()
            kind = "<f4" if word_of(sound.info).is_float else "<i4"
            for start in range(0, frames, BLOCK_FRAMES):
                words = to_words(sound.read(min(BLOCK_FRAMES, frames - start)), sound.info)
                digest.update(np.ascontiguousarray(words.T, dtype=kind).data)
            digests.append(digest.hexdigest())
            left -= frames
    return tuple(digests)
