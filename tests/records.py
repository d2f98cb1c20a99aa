"""Records in memory, for tests: sounds as arrays, laid out and made into files of words."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
from hypothesis import strategies as st
from numpy.typing import NDArray

from arsis.audio import Block, Span
from arsis.deliver.record import Record, lay_out
from arsis.deliver.record_sound import RunWay, Sounding, run_words
from arsis.plan.model import Between, Release, ReleaseSong
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


@st.composite
def releases(draw: st.DrawFn) -> tuple[Release, list[int], dict[int, int]]:
    """Releases that can be laid out, at a rate of 1000 Hz: songs of 3 to 9 s, trims, gaps and overlaps."""
    songs, frames, betweens = [], [], {}
    side = "A"
    for i in range(draw(st.integers(1, 6))):
        frames.append(draw(st.integers(3_000, 9_000)))
        song: dict[str, Any] = {"plan": f"{i}", "from_s": draw(st.integers(0, 900)) / 1000.0}
        if draw(st.booleans()):
            song["until_s"] = (frames[i] - draw(st.integers(0, 900))) / 1000.0
        turned = not i or draw(st.integers(0, 4)) == 0
        side = "B" if turned and i else side
        kind = "gap" if turned else draw(st.sampled_from(("gap", "none", "overlap", "between")))
        song["gap_s"] = draw(st.floats(0.001, 4.0)) if kind in ("gap", "between") else 0.0
        if kind == "overlap":
            song["overlap_s"] = draw(st.integers(1, 590)) / 1000.0
        if kind == "between":
            song["between"] = Between(file="b", lead_s=draw(st.floats(0.0, 1.0)))
            betweens[i + 1] = draw(st.integers(1, 1_200))
        song["fade_in_s"], song["fade_out_s"] = (draw(st.sampled_from((0.0, 0.3, 0.59))) for _ in range(2))
        songs.append(ReleaseSong(**song, side=side))
    return Release(title="made up", song=tuple(songs)), frames, betweens
