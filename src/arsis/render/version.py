"""Another version of a song, rendered with what the main version decided (law 10).

The main version runs beside it and leads: its compressors, bells, saturators and limiter decide, and the
fades of its joins follow its own correlation; the version does the same at the same frames. All else is
linear, so prints of versions that sum to the mix sum to its print.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block, Span
from arsis.process.lead import Follow, Hand, Lead
from arsis.settings import Limiter
from arsis.units import gain_to_db

from .engine import Engine, Finished, Limited, Taps
from .join_report import JoinReport
from .passes import PrintedSource
from .progress import Progress, unseen
from .run import Joins, Way, through
from .schedule import Schedule, schedule
from .source import Source
from .together import Together
from .version_source import VersionSource
from .words import ToWords, Untouched, WordMaker, untouched_words


class VersionRendering:
    """One render of a version that follows, to be taken block by block, as long as the main print.

    Where the two do not share the limiter and the version alone would pass the ceiling under the main
    version's gain, a limiter of its own takes the rest. Taps hear the version, and the main limiter's gain.
    """

    def __init__(self, main: Source, version: VersionSource, way: Way, used: Span | None = None) -> None:
        """used: the frames of the print that are looked at for what its own limiter takes; all, when None."""
        info = main.mix.info
        self.plan = schedule(main.song, info.rate_hz, info.frames)
        self._main, self._version, self._way = main, version, way
        names = [one.version.name for one in main.followers]
        self._engine = (
            Together(main, self.plan, way.out_rate_hz, way.taps, 1 + names.index(version.version.name), False)
            if version.version.name in names
            else Led(main, version, self.plan, way.out_rate_hz, way.taps, used)
        )

    def blocks(self, progress: Progress = unseen) -> Iterator[Finished]:
        """All of the version's print in order, from the main mix's start; to be taken once."""
        yield from through(self._engine, self._main.mix, self._way.block_frames, progress)

    @property
    def untouched(self) -> Untouched:
        """Where the print is the version's own words."""
        sound, way = self._version.sound, self._way
        if not sound.in_step or sound.alignment.polarity < 0:
            return Untouched()
        return untouched_words(self._main.song, self._version.mix.info, self.plan, way.word, way.out_rate_hz)

    def words(self) -> ToWords:
        version, dither = self._version, self._main.song.finish.dither
        maker = WordMaker(self._way.word, version.mix.info.channels, version.seed, dither)
        return ToWords(self.untouched, maker)

    @property
    def joins(self) -> Joins:
        """The joins as the version has them."""
        return Joins(self._engine.joins, ())

    @property
    def guarded(self) -> Guarded:
        """What the version's own limiter took so far."""
        return self._engine.guarded if isinstance(self._engine, Led) else Guarded()

    def __enter__(self) -> VersionRendering:
        return self

    def __exit__(self, *_: object) -> None:
        """Nothing to end: all of it runs on the caller's thread."""


class Led:
    """The main version's engine and the follower's; fed with the main mix, it gives the follower's print."""

    def __init__(
        self,
        main: Source,
        version: VersionSource,
        plan: Schedule,
        out_rate_hz: int,
        taps: Taps,
        used: Span | None = None,
    ) -> None:
        info, limiter = main.mix.info, main.song.finish.limiter
        lead = Lead()

        def engine(printed: Mapping[str, PrintedSource], heard: Taps, hand: Hand) -> Engine:
            return Engine(
                main.song, plan, info.rate_hz, info.channels, out_rate_hz, printed, heard, hand=hand
            )

        self._version, self._at = version, 0
        self._lead = engine(main.printed, Taps(gain=taps.gain), lead)
        self._own = engine(version.printed, Taps(mix=taps.mix, asked=taps.asked), Follow(lead))
        self._guard = Guard(limiter, out_rate_hz, info.channels, used)

    def push(self, block: Block) -> Finished:
        self._lead.push(block)
        own = self._version.sound(self._at, block.shape[1])
        self._at += block.shape[1]
        return self._guard.push(self._own.push(own))

    def flush(self) -> Finished:
        self._lead.flush()
        first, last = self._guard.push(self._own.flush()), self._guard.flush()
        sound = np.concatenate([first.sound, last.sound], axis=1)
        return Finished(sound, np.concatenate([first.gain, last.gain]))

    @property
    def joins(self) -> tuple[JoinReport, ...]:
        return self._own.joins

    @property
    def guarded(self) -> Guarded:
        return self._guard.took


@dataclass(frozen=True, slots=True)
class Guarded:
    """What a version's own limiter took where its print is used: the most of it and where, from the first
    frame that is used, and for how long it worked at all."""

    max_db: float = 0.0
    max_at_s: float = 0.0
    worked_s: float = 0.0


class Guard:
    """The ceiling for a version under the main version's gain: its input, bit for bit, where it fits."""

    def __init__(
        self, limiter: Limiter | None, rate_hz: int, channels: int, used: Span | None = None
    ) -> None:
        self._limited = Limited(limiter, rate_hz, channels)
        self._rate_hz, self._at, self._used = rate_hz, 0, used
        self._followed = np.zeros(0)  # the main version's gain of what is still inside
        self.took = Guarded()

    def push(self, finished: Finished) -> Finished:
        self._followed = np.concatenate([self._followed, finished.gain])
        return self._out(self._limited.push(finished.sound))

    def flush(self) -> Finished:
        return self._out(self._limited.flush())

    def _out(self, guarded: Finished) -> Finished:
        frames = guarded.gain.shape[0]
        followed, self._followed = self._followed[:frames], self._followed[frames:]
        self._note(guarded.gain)
        self._at += frames
        return Finished(guarded.sound, followed * guarded.gain)

    def _note(self, gain: NDArray[np.float64]) -> None:
        start = self._at
        if self._used is not None:
            part = self._used.clip(start, start + gain.shape[0])
            gain, start = gain[part.start - start : part.end - start], part.start - self._used.start
        worked = np.flatnonzero(gain < 1.0)
        if worked.size:
            lowest = int(np.argmin(gain))
            deepest = Guarded(-gain_to_db(float(gain[lowest])), (start + lowest) / self._rate_hz)
            most = max(self.took, deepest, key=lambda took: took.max_db)
            self.took = replace(most, worked_s=self.took.worked_s + worked.size / self._rate_hz)
