"""One render from an open mix to finished words: the loop that every print, preview and contour uses."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import nullcontext
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from arsis.audio import BLOCK_FRAMES, Block, Span
from arsis.dsp.dither import Quantiser
from arsis.errors import PlanError
from arsis.plan.model import Finish, Pass, Section, Song
from arsis.process import is_neutral_chain

from .engine import Engine, Finished, Taps
from .joins import JoinReport, JoinSound
from .progress import Progress, unseen
from .schedule import Hold, Schedule, schedule
from .source import Source

# Finished words: int32 for an integer word length, float64 for 32-bit float.
Words = NDArray[np.int32] | Block
Sink = Callable[[Words], None]


@dataclass(frozen=True, slots=True)
class Word:
    """The word a print is written in. bits: 16, 24 or 32; float is 32-bit floating point."""

    bits: int
    is_float: bool = False

    @property
    def encoding(self) -> str:
        return "float32" if self.is_float else f"pcm_s{self.bits}"


@dataclass(frozen=True, slots=True)
class Way:
    """How to render: nothing here but rate and word changes a sample.

    keep_join_sound: so that the joins can be looked at afterwards.
    """

    word: Word
    out_rate_hz: int
    block_frames: int = BLOCK_FRAMES
    threads: int = 1
    taps: Taps = field(default_factory=Taps)
    keep_join_sound: bool = False


@dataclass(frozen=True, slots=True)
class Joins:
    """What the joins of a render did, and the sound around them where that was asked for."""

    reports: tuple[JoinReport, ...]
    sounds: tuple[JoinSound, ...]


def single_pass(song: Song, name: str) -> Song:
    """The plan that prints one pass over the whole song, with nothing after it.

    Raises PlanError for a pass the song does not have.
    """
    if name not in song.pass_:
        raise PlanError(f"no pass {name!r} in {song.title!r}; it has {', '.join(song.pass_) or 'none'}")
    whole = Section(name=f"pass {name}", start_s=0.0, pass_=name)
    return replace(song, section=(whole,), ride=(), finish=Finish(dither=song.finish.dither))


def render(source: Source, way: Way, sink: Sink, progress: Progress = unseen) -> Joins:
    """Renders a plan over its mix into `sink`, block by block, and says what each join did.

    Raises PlanError where plan and mix do not fit.
    """
    info = source.mix.info
    plan = schedule(source.song, info.rate_hz, info.frames)
    source.rewind()
    with ThreadPoolExecutor(way.threads) if way.threads > 1 else nullcontext() as pool:
        engine = Engine(
            source.song,
            plan,
            info.rate_hz,
            info.channels,
            way.out_rate_hz,
            source.printed,
            way.taps,
            pool,
            way.keep_join_sound,
        )
        words = _ToWords(source, plan, way)
        done = 0
        while (block := source.mix.read(way.block_frames)).shape[1]:
            sink(words.push(engine.push(block)))
            done += block.shape[1]
            progress(done, info.frames)
        sink(words.push(engine.flush()))
    return Joins(engine.joins, engine.join_sounds)


class _ToWords:
    """Finished sound to words. Where the plan leaves the mix alone and the limiter rested, the mix's own
    words pass untouched; everywhere else a reduced word length is dithered."""

    def __init__(self, source: Source, plan: Schedule, way: Way) -> None:
        info, word = source.mix.info, way.word
        self._untouched: tuple[Span, ...] = ()
        if not info.is_float and info.bits is not None and info.bits <= word.bits:
            self._untouched = untouched(source.song, plan) if way.out_rate_hz == info.rate_hz else ()
        self._at = 0
        self._quantiser = (
            None
            if word.is_float
            else Quantiser(word.bits, info.channels, source.seed, source.song.finish.dither)
        )

    def push(self, finished: Finished) -> Words:
        if self._quantiser is None:
            return finished.sound
        start, self._at = self._at, self._at + finished.sound.shape[1]
        return self._quantiser.process(
            np.ascontiguousarray(finished.sound), self._exact(start, finished.gain)
        )

    def _exact(self, start: int, gain: NDArray[np.float64]) -> NDArray[np.uint8] | None:
        parts = [span.clip(start, start + gain.shape[0]) for span in self._untouched]
        if not any(part.frames for part in parts):
            return None
        exact = np.zeros(gain.shape[0], dtype=np.uint8)
        for part in parts:
            exact[part.start - start : part.end - start] = 1
        exact[gain != 1.0] = 0
        return exact


def untouched(song: Song, plan: Schedule) -> tuple[Span, ...]:
    """Where the plan itself changes nothing: neutral pass, no ride, neutral finish."""
    finish = song.finish
    if (
        finish.gain_db != 0.0
        or not is_neutral_chain(finish.chain)
        or any(p.gain_db != 0.0 for p in plan.ride)
    ):
        return ()
    return tuple(
        stretch.span
        for stretch in plan.stretches
        if isinstance(stretch, Hold)
        and stretch.voice.ride_db == 0.0
        and _leaves_alone(song.pass_[stretch.voice.pass_name])
    )


def _leaves_alone(treatment: Pass) -> bool:
    return treatment.print is None and is_neutral_chain(treatment.chain)
