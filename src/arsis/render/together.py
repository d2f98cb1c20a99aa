"""A song and the versions that follow it, under one limiter that hears them all.

Each goes its own way up to the limiter, led by the main one. There the loudest of them decides, and all get
its gain: none passes the ceiling, and what summed before it still does.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from arsis.audio import Block
from arsis.process.lead import Follow, Hand, Lead

from .engine import Engine, Finished, Limited, Taps
from .join_report import JoinReport
from .joins import JoinSound
from .schedule import Schedule
from .source import Source
from .version_source import VersionSource


class Together:
    """Renders one of them: feed `push` with the main mix in order, then `flush`, as an engine.

    which: 0 is the main version, n its nth follower; None is all of them, channel under channel, as their
    limiter hears them. taps: of that one.
    """

    def __init__(
        self,
        source: Source,
        plan: Schedule,
        out_rate_hz: int,
        taps: Taps,
        which: int | None,
        keep_join_sound: bool,
    ) -> None:
        info = source.mix.info
        finish = replace(source.song.finish, limiter=None)
        lead = Lead(len(source.followers))
        hands: list[Hand] = [lead, *(Follow(lead, i) for i in range(len(source.followers)))]
        printed = [source.printed, *(follower.printed for follower in source.followers)]
        self._followers: tuple[VersionSource, ...] = source.followers
        self._engines = [
            Engine(
                replace(source.song, finish=finish),
                plan,
                info.rate_hz,
                info.channels,
                out_rate_hz,
                prints,
                Taps(mix=taps.mix, asked=taps.asked) if i == which else Taps(),
                keep_join_sound=keep_join_sound and i == which,
                hand=hand,
            )
            for i, (hand, prints) in enumerate(zip(hands, printed, strict=True))
        ]
        channels = info.channels * len(self._engines)
        self._limited = Limited(source.song.finish.limiter, out_rate_hz, channels)
        of = 0 if which is None else which
        self._mine = slice(None) if which is None else slice(of * info.channels, (of + 1) * info.channels)
        self._which, self._taps, self._at = of, taps, plan.begin

    def push(self, block: Block) -> Finished:
        frames = block.shape[1]
        blocks = [block, *(follower.sound(self._at, frames) for follower in self._followers)]
        self._at += frames
        asked = [engine.push(own).sound for engine, own in zip(self._engines, blocks, strict=True)]
        return self._out(self._limited.push(np.concatenate(asked)))

    def flush(self) -> Finished:
        asked = np.concatenate([engine.flush().sound for engine in self._engines])
        first, last = self._limited.push(asked), self._limited.flush()
        sound = np.concatenate([first.sound, last.sound], axis=1)
        return self._out(Finished(sound, np.concatenate([first.gain, last.gain])))

    @property
    def joins(self) -> tuple[JoinReport, ...]:
        return self._engines[self._which].joins

    @property
    def join_sounds(self) -> tuple[JoinSound, ...]:
        return self._engines[self._which].join_sounds

    def _out(self, limited: Finished) -> Finished:
        if self._taps.gain is not None:
            self._taps.gain(limited.gain)
        return Finished(np.ascontiguousarray(limited.sound[self._mine]), limited.gain)
