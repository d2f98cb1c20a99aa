"""All that can be wrong with a mix as a file, from one pass over it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from arsis.audio import Block
from arsis.io.info import SoundInfo
from arsis.measure.summary import PEAKS_PER_SECOND, Meters, SoundFacts

from .both_channels import ChannelFacts, ChannelMeter, Edge
from .breaks import BreakFacts, BreakMeter
from .flat_tops import FlatTopMeter, FlatTops
from .levels import LevelFacts, LevelsMeter
from .low import LowFacts, LowMeter
from .tuning import Tuning, TuningMeter
from .word import WordFacts, WordMeter


@dataclass(frozen=True, kw_only=True)
class Stopping:
    """The figures of what can stop the work before it begins."""

    meters: SoundFacts
    flat_tops: FlatTops
    breaks: BreakFacts
    channels: ChannelFacts
    edge: Edge | None


@dataclass(frozen=True, kw_only=True)
class Defects(Stopping):
    """The figures. overs_s: starts of the tenths of a second whose true peak passes full scale."""

    word: WordFacts
    low: LowFacts
    levels: LevelFacts
    tuning: Tuning | None
    overs_s: tuple[float, ...]


class _Meter(Protocol):
    def add(self, block: Block) -> None: ...


def _hear(meters: Sequence[_Meter], block: Block) -> None:
    with np.errstate(over="ignore", invalid="ignore"):  # a wild sample is told of, not warned of
        for meter in meters:
            meter.add(block)


class StoppingExaminer:
    """Listens to a file once, for what can stop the work alone. Used as `Examiner`."""

    def __init__(self, info: SoundInfo) -> None:
        self._flat_tops = FlatTopMeter(info.rate_hz, info.channels, _steps(info))
        self._breaks = BreakMeter(info.rate_hz, info.channels, _steps(info), with_clicks=False)
        self._channels = ChannelMeter(info.rate_hz, info.channels)

    def add(self, block: Block) -> None:
        """Hears the next frames."""
        _hear((self._flat_tops, self._breaks, self._channels), block)

    def finish(self, meters: SoundFacts) -> Stopping:
        """Of all that has been heard, which is all of the sound; meters: of the same sound."""
        return Stopping(
            meters=meters,
            flat_tops=self._flat_tops.facts(),
            breaks=self._breaks.finish(),
            channels=self._channels.facts(),
            edge=self._channels.edge(),
        )


def _bits(info: SoundInfo) -> int | None:
    return None if info.is_lossy else info.bits


def _steps(info: SoundInfo) -> int | None:
    """The word whose steps the samples go by."""
    return None if info.is_float else _bits(info)


class Examiner:
    """Listens to a file once. Blocks of any length, in order; `finish` when it has ended."""

    def __init__(self, info: SoundInfo) -> None:
        rate_hz, channels = info.rate_hz, info.channels
        self._meters = Meters(rate_hz, channels)
        self._word = WordMeter(_bits(info), info.is_float)
        self._flat_tops = FlatTopMeter(rate_hz, channels, _steps(info))
        self._breaks = BreakMeter(rate_hz, channels, _steps(info))
        self._channels = ChannelMeter(rate_hz, channels)
        self._low, self._tuning = LowMeter(rate_hz), TuningMeter(rate_hz)
        self._levels = LevelsMeter(rate_hz, channels)

    def add(self, block: Block) -> None:
        """Hears the next frames."""
        both = (self._flat_tops, self._breaks, self._channels)
        _hear((self._meters, self._word, *both, self._low, self._tuning, self._levels), block)

    def finish(self) -> Defects:
        """Of all that has been heard, which is all of the sound."""
        overs = np.flatnonzero(self._meters.true_peaks() > 1.0)
        return Defects(
            meters=self._meters.facts(),
            word=self._word.facts(),
            flat_tops=self._flat_tops.facts(),
            breaks=self._breaks.finish(),
            channels=self._channels.facts(),
            edge=self._channels.edge(),
            low=self._low.facts(),
            levels=self._levels.facts(),
            tuning=self._tuning.facts(),
            overs_s=tuple(float(at) / PEAKS_PER_SECOND for at in overs),
        )
