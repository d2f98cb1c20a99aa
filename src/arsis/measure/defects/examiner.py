"""All that can be wrong with a mix as a file, from one pass over it."""

from __future__ import annotations

from dataclasses import dataclass

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


@dataclass(frozen=True, slots=True)
class Defects:
    """The figures. overs_s: starts of the tenths of a second whose true peak passes full scale."""

    meters: SoundFacts
    word: WordFacts
    flat_tops: FlatTops
    breaks: BreakFacts
    channels: ChannelFacts
    edge: Edge | None
    low: LowFacts
    levels: LevelFacts
    tuning: Tuning | None
    overs_s: tuple[float, ...]


class Examiner:
    """Listens to a file once. Blocks of any length, in order; `finish` when it has ended."""

    def __init__(self, info: SoundInfo) -> None:
        rate_hz, channels = info.rate_hz, info.channels
        bits = None if info.is_lossy else info.bits
        self._meters = Meters(rate_hz, channels)
        self._word = WordMeter(bits, info.is_float)
        self._flat_tops = FlatTopMeter(rate_hz, channels, None if info.is_float else bits)
        self._breaks = BreakMeter(rate_hz, channels, None if info.is_float else bits)
        self._channels = ChannelMeter(rate_hz, channels)
        self._low, self._tuning = LowMeter(rate_hz), TuningMeter(rate_hz)
        self._levels = LevelsMeter(rate_hz, channels)

    def add(self, block: Block) -> None:
        """Hears the next frames."""
        for meter in (
            self._meters,
            self._word,
            self._flat_tops,
            self._breaks,
            self._channels,
            self._low,
            self._tuning,
            self._levels,
        ):
            with np.errstate(over="ignore", invalid="ignore"):  # a wild sample is told of, not warned of
                meter.add(block)

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
