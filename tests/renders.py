"""Renders in memory, for tests: a mix that is an array, and the print as words."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block
from arsis.io.info import SoundInfo
from arsis.plan.model import Song
from arsis.render.ear import PrintEar
from arsis.render.printed import SoundAt
from arsis.render.run import Joins, Way, render
from arsis.render.source import Source
from arsis.render.words import Word


@dataclass
class ArraySound:
    """A sound reader over an array."""

    block: Block
    info: SoundInfo
    at: int = 0

    def read(self, frames: int) -> Block:
        part = self.block[:, self.at : self.at + frames]
        self.at += part.shape[1]
        return np.ascontiguousarray(part)

    def seek(self, frame: int) -> None:
        self.at = frame


@dataclass
class Print:
    """A print in memory. words: int32, or float64 for a floating-point word."""

    words: NDArray[np.int32] | Block
    joins: Joins
    ear: PrintEar
    word: Word = field(default_factory=lambda: Word(24))

    @property
    def sound(self) -> Block:
        return self.words * (1.0 if self.word.is_float else 2.0 ** (1 - self.word.bits))


def source(
    song: Song, block: Block, rate_hz: int, bits: int | None = 24, *, is_float: bool = False
) -> Source:
    """A plan with its mix; bits None is a lossy mix. Passes printed elsewhere are the mix through a bend."""
    encoding = "float32" if is_float else f"pcm_s{bits}" if bits else "mp3"
    info = SoundInfo(
        Path("mix.wav"),
        "wav",
        encoding,
        bits,
        rate_hz,
        block.shape[0],
        block.shape[1],
        is_float,
        bits is None,
    )
    printed = {
        name: SoundAt(ArraySound(1.1 * np.tanh(block), info))
        for name, treatment in song.pass_.items()
        if treatment.print is not None
    }
    return Source(song, ArraySound(block, info), "0" * 64, printed)  # type: ignore[arg-type]


def make_print(of: Source, word: Word | None = None, **how) -> Print:
    """Renders into memory."""
    word = word or Word(24)
    way = Way(word, how.pop("out_rate_hz", of.mix.info.rate_hz), **how)
    ear = PrintEar(of, way)
    parts: list[NDArray[np.int32] | Block] = []

    def keep(words: NDArray[np.int32] | Block) -> None:
        ear.hear(words)
        parts.append(words.copy())

    way = Way(way.word, way.out_rate_hz, way.block_frames, way.threads, ear.taps)
    joins = render(of, way, keep)
    return Print(np.concatenate(parts, axis=1), joins, ear, word)


def whole_words(frames: int, bits: int, seed: int, peak: float = 0.2, channels: int = 2) -> NDArray[np.int32]:
    """Random words within `peak` of full scale: so that noise between samples stays under -1 dBTP too."""
    top = int(peak * 2 ** (bits - 1))
    return np.random.default_rng(seed).integers(-top, top, (channels, frames), dtype=np.int32)
