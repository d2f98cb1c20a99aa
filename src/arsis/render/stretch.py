"""A stretch of a print, rendered by itself from some way before it.

Filters and detectors are at rest where it begins, so it begins early enough for them to settle: what is
heard then differs from the whole print by what they would remember from before, which is next to nothing
(docs/desk-hearing.md). Shaped dither carries its error from the song's first frame on: there the noise
differs, and not the sound.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from arsis.audio import BLOCK_FRAMES
from arsis.plan.model import Finish
from arsis.process import ChainRunner
from arsis.process.limiting import LimiterRunner
from arsis.process.memory import memory_s

from .engine import Finished
from .part import begin_before, part
from .run import Joins, Way, engine_of
from .schedule import schedule
from .source import Source
from .words import ToWords, Word, WordMaker, Words, untouched_words

# A warm-up is at least so long, which costs next to nothing, and at most so long, which costs a moment.
LEAST_S, MOST_S = 2.0, 8.0


class Stretch:
    """Frames [start, end) of a print at the mix's own rate, to be taken in order.

    at: the frame that comes next. Raises PlanError where plan and mix do not fit.
    """

    def __init__(self, source: Source, word: Word, start: int, end: int) -> None:
        info, song = source.mix.info, source.song
        plan = schedule(song, info.rate_hz, info.frames)
        begin = start - round(warm_up_s(source) * info.rate_hz)
        begin = begin_before(plan, begin, info.rate_hz)
        late = _latency(song.finish, info.rate_hz, info.channels)
        scheduled = part(plan, begin, min(info.frames, end + late))
        self._source, self._fed = source, begin
        self._engine = engine_of(source, scheduled, Way(word, info.rate_hz))
        maker = WordMaker(word, info.channels, source.seed, song.finish.dither, begin)
        self._words = ToWords(untouched_words(song, info, plan, word, info.rate_hz), maker, begin)
        self._ready: list[Words] = []
        self._ready_to = begin
        self.at, self.end = begin, end
        self._drop(start - begin)

    def read(self, frames: int) -> Words:
        """The next frames; fewer only at the end."""
        frames = min(frames, self.end - self.at)
        while self._ready_to < self.at + frames:
            self._more()
        ready: Words = np.concatenate(self._ready, axis=1)  # type: ignore[assignment]  # all of one kind
        self._ready = [ready[:, frames:]]
        self.at += frames
        return ready[:, :frames]

    @property
    def joins(self) -> Joins:
        """What the joins did that have been made on the way, those of the warm-up among them."""
        return Joins(self._engine.joins, self._engine.join_sounds)

    def _drop(self, frames: int) -> None:
        """Leaves out what comes next."""
        target = self.at + frames
        while self._ready_to < target:
            self._ready = []
            self._more()
        left = self._ready_to - target
        self._ready = [part[:, part.shape[1] - left :] for part in self._ready]
        self.at = target

    def _more(self) -> None:
        mix = self._source.mix
        mix.seek(self._fed)
        block = mix.read(BLOCK_FRAMES)
        self._fed += block.shape[1]
        finished: Finished = self._engine.push(block) if block.shape[1] else self._engine.flush()
        self._ready.append(self._words.push(finished))
        self._ready_to += finished.sound.shape[1]


def warm_up_s(source: Source) -> float:
    """How long before what is heard a render begins: the longest memory of anything on the way there."""
    song = source.song
    used = {section.pass_ for section in song.section}
    passes_s = max(memory_s(song.pass_[name].chain) for name in used)
    finish_s = memory_s(song.finish.chain, song.finish.limiter)
    return min(MOST_S, max(LEAST_S, passes_s, finish_s))


@lru_cache(maxsize=64)
def _latency(finish: Finish, rate_hz: int, channels: int) -> int:
    """Frames by which what follows the joins is late inside."""
    chain = ChainRunner(finish.chain, rate_hz, channels).latency
    limiter = LimiterRunner(finish.limiter, rate_hz, channels).latency if finish.limiter else 0
    return chain + limiter
