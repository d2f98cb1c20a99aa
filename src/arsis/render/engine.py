"""The way of a sound, from the mix to the print.

mix -> passes -> joins and section rides -> drawn ride -> finish chain -> gain -> rate -> limiter ->
word length -> print. Everything streams; each stage is in place, so taps along the way line up.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block, silence
from arsis.dsp.resample import Resampler
from arsis.plan.model import Song
from arsis.process import ChainRunner
from arsis.process.lead import Hand
from arsis.process.limiting import LimiterRunner
from arsis.settings import Limiter
from arsis.units import db_to_gain

from .join_report import JoinReport
from .joins import JoinMixer, JoinSound
from .passes import PassBank, PrintedSource
from .rides import Ride
from .schedule import Schedule
from .stages import Gain, InPlace, Line, Stage

Tap = Callable[[Block], None]
GainTap = Callable[[NDArray[np.float64]], None]


@dataclass(frozen=True, slots=True)
class Taps:
    """Who listens along the way. Each gets blocks in order, in place with the mix (at its own rate).

    mix: as it came in. asked: what the limiter is asked to pass, at the delivered rate. gain: what it
    multiplied that by, shape (frames,); ones when there is no limiter.
    """

    mix: Tap | None = None
    asked: Tap | None = None
    gain: GainTap | None = None


@dataclass(slots=True)
class Engine:
    """One render of one plan. Feed `push` with the mix in order, then `flush`; both give finished sound.

    The mix begins where the schedule does. Out of the part of a song that begins later comes what the whole
    has there, but for what filters and detectors would remember from before.
    """

    song: Song
    schedule: Schedule
    rate_hz: int
    channels: int
    out_rate_hz: int
    printed: Mapping[str, PrintedSource] = field(default_factory=dict)
    taps: Taps = field(default_factory=Taps)
    pool: ThreadPoolExecutor | None = None
    keep_join_sound: bool = False
    hand: Hand | None = None
    _bank: PassBank = field(init=False)
    _mixer: JoinMixer = field(init=False)
    _finish: Line = field(init=False)
    _limiter: Limited = field(init=False)

    def __post_init__(self) -> None:
        passes = {name: self.song.pass_[name] for name in self.schedule.passes}
        begin = self.schedule.begin
        self._bank = PassBank(passes, self.rate_hz, self.channels, self.printed, self.pool, self.hand, begin)
        self._mixer = JoinMixer(
            self.schedule,
            self.rate_hz,
            self.channels,
            keep_sound=self.keep_join_sound,
            hand=self.hand,
        )
        self._finish = Line(tuple(_finish_stages(self)), self.channels)
        self._limiter = Limited(self.song.finish.limiter, self.out_rate_hz, self.channels, self.hand)

    def push(self, block: Block) -> Finished:
        """The print as far as it is settled, after the next `block` of the mix."""
        _tell(self.taps.mix, block)
        return self._out(
            self._limiter.push(self._asked(self._finish.push(self._mixer.push(self._bank.push(block)))))
        )

    def flush(self) -> Finished:
        """The rest of the print, once the mix has ended."""
        asked = [self._finish.push(self._mixer.push(self._bank.flush())), self._finish.flush()]
        whole = self._asked(np.concatenate(asked, axis=1))
        return self._out(self._limiter.push(whole), self._limiter.flush())

    @property
    def joins(self) -> tuple[JoinReport, ...]:
        """The joins made so far."""
        return tuple(self._mixer.reports)

    @property
    def join_sounds(self) -> tuple[JoinSound, ...]:
        """The sound around the joins made so far, where it was asked to be kept."""
        return tuple(self._mixer.sounds)

    def _asked(self, block: Block) -> Block:
        _tell(self.taps.asked, block)
        return block

    def _out(self, *parts: Finished) -> Finished:
        sound = np.concatenate([p.sound for p in parts], axis=1)
        gain = np.concatenate([p.gain for p in parts])
        if self.taps.gain is not None:
            self.taps.gain(gain)
        return Finished(sound, gain)


@dataclass(frozen=True, slots=True)
class Finished:
    """Sound ready for its word length, and the limiter's gain at each of its frames."""

    sound: Block
    gain: NDArray[np.float64]


class Limited:
    """The last limiter as a stage in place; straight through when the plan has none."""

    def __init__(
        self, limiter: Limiter | None, rate_hz: int, channels: int, hand: Hand | None = None
    ) -> None:
        self._channels = channels
        self._runner = (hand or Hand()).runner(LimiterRunner(limiter, rate_hz, channels)) if limiter else None
        self._drop = self._runner.latency if self._runner else 0

    def push(self, block: Block) -> Finished:
        if self._runner is None:
            return Finished(block, np.ones(block.shape[1]))
        sound, gain = self._runner.process_with_gain(block)
        dropped = min(self._drop, sound.shape[1])
        self._drop -= dropped
        return Finished(sound[:, dropped:], gain[dropped:])

    def flush(self) -> Finished:
        return self.push(silence(self._channels, self._runner.latency if self._runner else 0))


class Rate:
    """Rate conversion as a stage."""

    def __init__(self, from_hz: int, to_hz: int, channels: int) -> None:
        self._resampler, self._channels = Resampler(from_hz, to_hz, channels), channels

    def push(self, block: Block) -> Block:
        return self._resampler.process(block)

    def flush(self) -> Block:
        return self._resampler.process(silence(self._channels, 0), last=True)


def _finish_stages(engine: Engine) -> Iterator[Stage]:
    finish, channels = engine.song.finish, engine.channels
    yield Ride(engine.schedule.ride, channels, engine.schedule.begin)
    chain = ChainRunner(finish.chain, engine.rate_hz, channels, hand=engine.hand)
    yield InPlace(chain, channels)
    if finish.gain_db != 0.0:
        yield Gain(db_to_gain(finish.gain_db), channels)
    if engine.out_rate_hz != engine.rate_hz:
        yield Rate(engine.rate_hz, engine.out_rate_hz, channels)


def _tell(tap: Tap | None, block: Block) -> None:
    if tap is not None:
        tap(block)
