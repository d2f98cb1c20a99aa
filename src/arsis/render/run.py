"""One render from an open mix to finished words: the loop that every print, preview and contour uses."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import nullcontext
from dataclasses import dataclass, field, replace

from arsis.audio import BLOCK_FRAMES
from arsis.errors import PlanError
from arsis.plan.model import Finish, Section, Song

from .engine import Engine, Taps
from .join_report import JoinReport
from .joins import JoinSound
from .progress import Progress, unseen
from .schedule import schedule
from .source import Source
from .words import ToWords, Word, Words

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
    info = source.mix.info
    plan = schedule(source.song, info.rate_hz, info.frames)
    source.mix.seek(0)
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
        words = ToWords(source, source.song, plan, way.word, way.out_rate_hz)
        done = 0
        while (block := source.mix.read(way.block_frames)).shape[1]:
            sink(words.push(engine.push(block)))
            done += block.shape[1]
            progress(done, info.frames)
        sink(words.push(engine.flush()))
    return Joins(engine.joins, engine.join_sounds)
