"""A stretch of a print, made again after a change: the same words as the whole print has there.

While it renders, it keeps checkpoints of the engine. After a change to the plan it goes on from the
last checkpoint before anything that is heard differs; only passes whose treatment changed run again
from the start of the song, for the state of their filters and detectors. So a render that starts
anywhere gives the samples of one that starts at the beginning (law 2).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from arsis.audio import BLOCK_FRAMES, Block
from arsis.errors import PlanError
from arsis.plan.model import Song

from .engine import Engine, Finished
from .schedule import Fade, Schedule, schedule
from .source import Source
from .words import ToWords, Word, WordMaker, Words, untouched_words

CHECKPOINT_S = 5.0


@dataclass(frozen=True, slots=True)
class _Checkpoint:
    """An engine that has been fed `fed` frames of the mix and has given `given` of the print."""

    fed: int
    given: int
    engine: Engine


class Stretch:
    """Renders stretches of one mix at its own rate, quickly after each change. Not for several threads."""

    def __init__(self, source: Source, word: Word) -> None:
        self._source, self._word = source, word
        info = source.mix.info
        blocks = max(1, round(CHECKPOINT_S * info.rate_hz / BLOCK_FRAMES))
        self._every = blocks * BLOCK_FRAMES
        self._song = source.song
        self._plan = schedule(source.song, info.rate_hz, info.frames)
        self._printed = {name: source.song.pass_[name].print for name in source.printed}
        self._kept = [_Checkpoint(0, 0, self._fresh(source.song, self._plan))]

    def words(self, song: Song, start: int, end: int) -> Words:
        """Frames [start, end) of the print of `song`, a plan over the same mix.

        Raises PlanError where the plan does not fit the mix, has a printed pass that is not open, or shares
        its limiter with versions, which are not heard here.
        """
        if song.finish.share_limiter and song.finish.limiter is not None:
            raise PlanError("a stretch is rendered without the versions that share_limiter asks for")
        # Shaped noise carries its error from the first frame on, so its words have to as well.
        shaped = not self._word.is_float and song.finish.dither not in ("none", "flat")
        begin = 0 if shaped else start
        self._turn_to(song, begin)
        at = max((c for c in self._kept if c.given <= begin), key=lambda c: c.given)
        finished = self._run(at, begin, end)
        info = self._source.mix.info
        exact = untouched_words(song, info, self._plan, self._word, info.rate_hz)
        maker = WordMaker(self._word, info.channels, self._source.seed, song.finish.dither, begin)
        to_words = ToWords(exact, maker, begin)
        return to_words.push(finished)[:, start - begin :]

    def _run(self, at: _Checkpoint, start: int, end: int) -> Finished:
        """Frames [start, end) of the finished sound, from a checkpoint on."""
        mix, engine = self._source.mix, at.engine.checkpoint()
        fed, given = at.fed, at.given
        parts: list[Finished] = []
        mix.seek(fed)
        while given < end:
            block = mix.read(BLOCK_FRAMES)
            finished = engine.push(block) if block.shape[1] else engine.flush()
            first, given, fed = given, given + finished.sound.shape[1], fed + block.shape[1]
            if given > start:
                keep = slice(max(0, start - first), min(given, end) - first)
                parts.append(Finished(finished.sound[:, keep], finished.gain[keep]))
            if block.shape[1] and fed % self._every == 0 and fed > self._kept[-1].fed:
                self._kept.append(_Checkpoint(fed, given, engine.checkpoint()))
        return Finished(
            np.concatenate([p.sound for p in parts], axis=1), np.concatenate([p.gain for p in parts])
        )

    def _turn_to(self, song: Song, begin: int) -> None:
        """Keeps the last checkpoint before `begin` that still holds for `song`, with its
        changed passes run up to it."""
        if song == self._song:
            return
        info = self._source.mix.info
        plan = schedule(song, info.rate_hz, info.frames)
        printed = {n: song.pass_[n].print for n in plan.passes if song.pass_[n].print is not None}
        if not printed.items() <= self._printed.items():
            raise PlanError(f"{song.title!r} has another pass printed elsewhere: it has to be opened anew")
        fresh = self._fresh(song, plan)
        old = self._kept[0].engine
        same = (
            song.finish == self._song.finish
            and song.ride == self._song.ride
            and plan.passes == self._plan.passes
            and fresh.latency == old.latency
        )
        heard = self._first_difference(song, plan) if same else 0
        held = [c for c in self._kept[1:] if c.fed <= heard and c.given <= begin]
        changed = [n for n in plan.passes if song.pass_[n] != self._song.pass_.get(n)]
        self._kept = [_Checkpoint(0, 0, fresh)]
        if held:
            self._kept.append(self._carried(held[-1], song, plan, changed))
        self._song, self._plan = song, plan

    def _carried(self, old: _Checkpoint, song: Song, plan: Schedule, changed: list[str]) -> _Checkpoint:
        engine = old.engine.checkpoint()
        engine.turn_to(song, plan, {n: song.pass_[n] for n in changed}, self._mix_up_to(old.fed))
        return _Checkpoint(old.fed, old.given, engine)

    def _mix_up_to(self, end: int) -> Iterator[Block]:
        self._source.mix.seek(0)
        for start in range(0, end, BLOCK_FRAMES):
            yield self._source.mix.read(min(BLOCK_FRAMES, end - start))

    def _first_difference(self, song: Song, plan: Schedule) -> int:
        """The first frame of the mix whose sound may reach something that differs: a changed pass that is
        heard, or a stretch that is not as it was."""
        changed = {n for n in plan.passes if song.pass_[n] != self._song.pass_.get(n)}
        reach = round(0.5 * self._source.mix.info.rate_hz)
        for i, (stretch, before) in enumerate(zip(plan.stretches, self._plan.stretches, strict=False)):
            voices = (stretch.before, stretch.after) if isinstance(stretch, Fade) else (stretch.voice,)
            if stretch != before or any(voice.pass_name in changed for voice in voices):
                # A fade's law is measured on sound around it, up to its own length or `reach` before; a
                # long one further on may look back beyond what stands before it.
                fades = [s.span for s in plan.stretches[i:] if isinstance(s, Fade)]
                starts = [span.start - max(reach, span.frames) for span in fades]
                return max(0, min([stretch.span.start - reach, before.span.start - reach, *starts]))
        return self._source.mix.info.frames

    def _fresh(self, song: Song, plan: Schedule) -> Engine:
        info = self._source.mix.info
        return Engine(song, plan, info.rate_hz, info.channels, info.rate_hz, self._source.printed)
