"""What a limiter would do at several gains, heard side by side in one render.

Before the limiter the sound is the same at every gain, but for that gain: it is rendered once, and each gain
has a limiter of its own.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from arsis.audio import BLOCK_FRAMES, Block
from arsis.measure.attack import HOPS_PER_SECOND
from arsis.measure.cuts import GridCuts
from arsis.measure.loudness import LoudnessMeter, Powers
from arsis.measure.peaks import TruePeakMeter
from arsis.measure.series import Series
from arsis.render.engine import Engine, Finished, Limited, Taps
from arsis.render.progress import Progress
from arsis.render.run import through
from arsis.render.schedule import Schedule
from arsis.render.source import Source
from arsis.render.together import Together
from arsis.render.took import AT_WORK_DB
from arsis.settings import Limiter
from arsis.units import db_to_gain, gain_to_db


@dataclass(frozen=True, slots=True)
class Asked:
    """A song before its limiter, with no gain in the finish.

    powers: K-weighted, of every 2 ms. peak_dbtp: its own. heard_dbtp: of all that the limiter hears; with
    `share_limiter` that is the versions, too.
    """

    powers: Powers
    peak_dbtp: float
    heard_dbtp: float


@dataclass(frozen=True, slots=True)
class Sounding:
    """What the limiter does at one gain.

    peak_dbtp: of the song after it. kept: mean square of what it multiplies by, over every 2 ms; lowest: the
    least of that, over the same and over what is left at the end. share: of all frames, those where more than
    AT_WORK_DB is taken.
    """

    peak_dbtp: float
    kept: Powers
    lowest: Powers
    share: float


class Ear(Protocol):
    """Listens to what the limiter is asked to pass."""

    def add(self, block: Block) -> None: ...


class AskedEar:
    """Hears the sound itself."""

    def __init__(self, rate_hz: int, channels: int) -> None:
        self._rate_hz, self._channels = rate_hz, channels
        self._powers = LoudnessMeter(rate_hz, channels, HOPS_PER_SECOND)
        self._own = TruePeakMeter(channels)
        self._others: TruePeakMeter | None = None

    def add(self, block: Block) -> None:
        own, others = block[: self._channels], block[self._channels :]
        self._powers.add(own)
        self._own.add(own)
        if others.shape[0]:
            self._others = self._others or TruePeakMeter(others.shape[0])
            self._others.add(others)

    def asked(self) -> Asked:
        own = self._own.peak()
        heard = max(own, self._others.peak()) if self._others is not None else own
        return Asked(self._powers.energies(), gain_to_db(own), gain_to_db(heard))


class LimiterEar:
    """A limiter at one gain. own: the channels of the song among those it hears."""

    def __init__(self, limiter: Limiter, gain_db: float, rate_hz: int, channels: int, own: int) -> None:
        self._gain, self._own = db_to_gain(gain_db), own
        self._limited = Limited(limiter, rate_hz, channels)
        self._peaks = TruePeakMeter(own)
        self._cuts = GridCuts(rate_hz, HOPS_PER_SECOND)
        self._kept, self._lowest = Series(np.empty(0)), Series(np.empty(0))
        self._rest = np.empty(0)
        self._frames, self._at_work = 0, 0

    def add(self, block: Block) -> None:
        self._take(self._limited.push(block * self._gain))

    def sounding(self) -> Sounding:
        """Once all has been heard."""
        self._take(self._limited.flush())
        left = np.array([self._rest.min(initial=1.0)])
        lowest = np.concatenate([self._lowest.whole(), left])
        peak_dbtp = gain_to_db(self._peaks.peak())
        return Sounding(peak_dbtp, self._kept.whole(), lowest, self._at_work / max(1, self._frames))

    def _take(self, limited: Finished) -> None:
        self._peaks.add(np.ascontiguousarray(limited.sound[: self._own]))
        self._take_gain(limited.gain)

    def _take_gain(self, gain: NDArray[np.float64]) -> None:
        start, self._frames = self._frames, self._frames + gain.size
        ends = self._cuts.take(start, self._frames) + self._rest.size
        gain = np.concatenate([self._rest, gain])
        whole = int(ends[-1]) if ends.size else 0
        counted, self._rest = gain[:whole], gain[whole:]
        if not ends.size:
            return
        if counted.min() >= 1.0:
            ones = np.ones(ends.size)
            self._kept.append(ones)
            self._lowest.append(ones)
            return
        starts = np.concatenate([[0], ends[:-1]])
        self._kept.append(np.add.reduceat(counted * counted, starts) / (ends - starts))
        self._lowest.append(np.minimum.reduceat(counted, starts))
        self._at_work += int(np.count_nonzero(counted < db_to_gain(-AT_WORK_DB)))


def listen(source: Source, plan: Schedule, ears: Sequence[Ear], progress: Progress) -> None:
    """Renders up to the limiter, with no gain in the finish, for all ears at once."""
    for block in _asked_blocks(source, plan, progress):
        for ear in ears:
            ear.add(block)


def _asked_blocks(source: Source, plan: Schedule, progress: Progress) -> Iterator[Block]:
    """The song's channels, and below them those of the versions that share its limiter."""
    info = source.mix.info
    finish = replace(source.song.finish, gain_db=0.0, limiter=None)
    bare = replace(source, song=replace(source.song, finish=finish))
    engine: Engine | Together
    if source.followers:
        engine = Together(bare, plan, info.rate_hz, Taps(), None, False)
    else:
        engine = Engine(bare.song, plan, info.rate_hz, info.channels, info.rate_hz, source.printed)
    for finished in through(engine, source.mix, BLOCK_FRAMES, progress):
        yield finished.sound
