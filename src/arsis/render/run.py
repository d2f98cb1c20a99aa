"""One render from an open mix to finished words: the loop that every print, preview and contour uses."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from typing import Protocol

from arsis.audio import BLOCK_FRAMES, Block
from arsis.errors import PlanError
from arsis.io.read import SoundReader
from arsis.plan.model import Finish, Section, Song

from .engine import Engine, Finished, Taps
from .join_report import JoinReport
from .joins import JoinSound
from .progress import Progress, unseen
from .schedule import Schedule, schedule
from .source import Source
from .together import Together
from .words import ToWords, Untouched, Word, WordMaker, Words, untouched_words

Sink = Callable[[Words], None]


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
    with Rendering(source, way) as rendering:
        return play(rendering, sink, progress)


class SongRendering(Protocol):
    """A render of a song in any of its versions, to be taken block by block."""

    def blocks(self, progress: Progress = unseen) -> Iterator[Finished]: ...

    def words(self) -> ToWords: ...

    @property
    def joins(self) -> Joins: ...


def play(rendering: SongRendering, sink: Sink, progress: Progress = unseen) -> Joins:
    """A render into `sink`, block by block; says what each join did."""
    words = rendering.words()
    for finished in rendering.blocks(progress):
        sink(words.push(finished))
    return rendering.joins


class Renders(Protocol):
    """What a mix goes through: see `engine.Engine`."""

    def push(self, block: Block) -> Finished: ...

    def flush(self) -> Finished: ...


def engine_of(
    source: Source, plan: Schedule, way: Way, pool: ThreadPoolExecutor | None = None
) -> Engine | Together:
    """What renders the source's plan as scheduled, with the versions that share its limiter."""
    if source.followers:
        return Together(source, plan, way.out_rate_hz, way.taps, 0, way.keep_join_sound)
    info = source.mix.info
    return Engine(
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


def through(engine: Renders, mix: SoundReader, block_frames: int, progress: Progress) -> Iterator[Finished]:
    """All of a mix through an engine, and what follows its end."""
    mix.seek(0)
    done = 0
    while (block := mix.read(block_frames)).shape[1]:
        yield engine.push(block)
        done += block.shape[1]
        progress(done, mix.info.frames)
    yield engine.flush()


class Rendering:
    """One render, to be taken block by block; the `with` ends its threads."""

    def __init__(self, source: Source, way: Way) -> None:
        info = source.mix.info
        self._source, self._way = source, way
        self.plan = schedule(source.song, info.rate_hz, info.frames)
        self._pool = ThreadPoolExecutor(way.threads) if way.threads > 1 else None
        self._engine = engine_of(source, self.plan, way, self._pool)

    def __enter__(self) -> Rendering:
        return self

    def __exit__(self, *_: object) -> None:
        if self._pool is not None:
            self._pool.shutdown()

    def blocks(self, progress: Progress = unseen) -> Iterator[Finished]:
        """All of the print in order, from the mix's start; to be taken once."""
        yield from through(self._engine, self._source.mix, self._way.block_frames, progress)

    @property
    def untouched(self) -> Untouched:
        """Where the print is the mix's own words."""
        source, way = self._source, self._way
        return untouched_words(source.song, source.mix.info, self.plan, way.word, way.out_rate_hz)

    def words(self) -> ToWords:
        source = self._source
        dither = source.song.finish.dither
        maker = WordMaker(self._way.word, source.mix.info.channels, source.seed, dither)
        return ToWords(self.untouched, maker)

    @property
    def joins(self) -> Joins:
        return Joins(self._engine.joins, self._engine.join_sounds)
