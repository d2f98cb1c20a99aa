"""One render from an open mix to finished words: the loop that every print, preview and contour uses."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from contextlib import nullcontext
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from arsis.audio import BLOCK_FRAMES, Block, Span
from arsis.dsp.dither import Quantiser
from arsis.errors import PlanError
from arsis.io.read import SoundReader
from arsis.plan.model import Finish, Pass, Section, Song
from arsis.process import is_neutral_chain

from .engine import Engine, Finished, Taps
from .joins import JoinReport, JoinSound
from .passes import PrintedSource
from .progress import Progress, unseen
from .schedule import Hold, Schedule, schedule

# Takes finished words: int32 for an integer word length, float64 for 32-bit float.
Sink = Callable[[NDArray[np.int32] | Block], None]


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

    seed: of the dither noise, so that the same plan gives the same bytes.
    """

    word: Word
    seed: int
    out_rate_hz: int
    block_frames: int = BLOCK_FRAMES
    threads: int = 1
    printed: Mapping[str, PrintedSource] = field(default_factory=dict)
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


def render(song: Song, mix: SoundReader, way: Way, sink: Sink, progress: Progress = unseen) -> Joins:
    """Renders `song` over `mix` into `sink`, block by block, and says what each join did.

    Raises PlanError where plan and mix do not fit.
    """
    info = mix.info
    plan = schedule(song, info.rate_hz, info.frames)
    with ThreadPoolExecutor(way.threads) if way.threads > 1 else nullcontext() as pool:
        engine = Engine(
            song,
            plan,
            info.rate_hz,
            info.channels,
            way.out_rate_hz,
            way.printed,
            way.taps,
            pool,
            way.keep_join_sound,
        )
        words = _Words(song, plan, mix, way)
        done = 0
        while (block := mix.read(way.block_frames)).shape[1]:
            sink(words.push(engine.push(block)))
            done += block.shape[1]
            progress(done, info.frames)
        sink(words.push(engine.flush()))
    return Joins(engine.joins, engine.join_sounds)


class _Words:
    """Finished sound to words. Where the plan leaves the mix alone and the limiter rested, the mix's own
    words pass untouched; everywhere else a reduced word length is dithered."""

    def __init__(self, song: Song, plan: Schedule, mix: SoundReader, way: Way) -> None:
        info = mix.info
        self._untouched: tuple[Span, ...] = ()
        if not info.is_float and info.bits is not None and info.bits <= way.word.bits:
            self._untouched = untouched(song, plan) if way.out_rate_hz == info.rate_hz else ()
        self._at = 0
        self._quantiser = (
            None
            if way.word.is_float
            else Quantiser(way.word.bits, info.channels, way.seed, song.finish.dither)
        )

    def push(self, finished: Finished) -> NDArray[np.int32] | Block:
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
