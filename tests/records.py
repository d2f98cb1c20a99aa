"""Records in memory, for tests: sounds as arrays, laid out and made into files of words."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block, Span
from arsis.deliver.record import Record, lay_out
from arsis.deliver.record_sound import RunWay, Sounding, run_words
from arsis.plan.model import Release, ReleaseSong
from arsis.render.engine import Finished
from arsis.render.words import Untouched, Word, Words
from arsis.settings import Limiter
from tests.signals import noise

RATE_HZ = 44_100
WORDS = (Word(16), Word(24), Word(32, is_float=True))


def blocks(sound: Block, size: int, gain: NDArray[np.float64] | None = None) -> Iterator[Finished]:
    gain = np.ones(sound.shape[1]) if gain is None else gain
    for start in range(0, sound.shape[1], size):
        yield Finished(sound[:, start : start + size], gain[start : start + size])


def laid(*songs: dict[str, Any], sounds: list[Block], **options: Any) -> Record:
    entries = tuple(ReleaseSong(**({"plan": f"songs/{i + 1}.toml"} | song)) for i, song in enumerate(songs))
    frames = [sound.shape[1] for sound in sounds]
    return lay_out(Release(title="Tide Tables", song=entries), frames, RATE_HZ, **options)


def files(
    record: Record,
    sounds: list[Block],
    word: Word,
    *,
    betweens: dict[int, Block] | None = None,
    size: int = 16_384,
    block_frames: int = 16_384,
    limiter: Limiter | None = None,
    dither: str = "flat",
    own: tuple[Span, ...] = (),
) -> dict[int, Words]:
    """Every file's words, run by run."""
    made: dict[int, list[Words]] = {}
    for run in record.runs:
        way = RunWay(word, RATE_HZ, 2, run.places[0], dither, limiter, block_frames)
        songs = {p: Sounding(blocks(sounds[p - 1], size), Untouched(own)) for p in run.places}
        laid_between = {p: Sounding(blocks(b, size)) for p, b in (betweens or {}).items()}
        for place, words in run_words(run, songs, way, laid_between):
            made.setdefault(place, []).append(words.copy())
    return {place: np.concatenate(parts, axis=1) for place, parts in made.items()}


def fade(frames: int, *, shared: bool) -> NDArray[np.float64]:
    """Rising, from the formula: a quarter sine, or a raised cosine."""
    t = (np.arange(frames) + 0.5) / frames
    return np.sin(np.pi * t / 2.0) if shared else (1.0 - np.cos(np.pi * t)) / 2.0


def three_songs(rms: float = 0.1) -> list[Block]:
    return [noise(frames, seed=i, rms=rms) for i, frames in enumerate((50_000, 61_234, 44_100))]
