"""Compressor and dynamic bell: a gain that follows the level, on everything or on one band.

Both show the gain they apply and take another's, so that a version can be given the gain of the
main mix: `process` is `process_with_gain` without the gain.
"""

from __future__ import annotations

import math

import numpy as np

from arsis.audio import Block
from arsis.dsp.filters import follow
from arsis.dsp.kernels.compressor import Curve, Gains
from arsis.dsp.prototypes import bell, high_pass
from arsis.settings import Compressor, DynamicBell
from arsis.units import db_to_gain, gain_to_db

from .base import Runner, comes_to_nothing, prepare
from .detector import Detector, Filter, kept_each_frame


def compressor_curve(settings: Compressor, rate_hz: int) -> Curve:
    """The static curve of Giannoulis et al. (2012), eq. (4), with its ballistics."""
    return Curve(
        threshold_db=settings.threshold_dbfs,
        half_knee_db=settings.knee_db / 2.0,
        knee_scale=0.5 / settings.knee_db if settings.knee_db else 0.0,
        slope=1.0 - 1.0 / settings.ratio,
        most_db=math.inf,
        attack=kept_each_frame(settings.attack_ms, rate_hz),
        release=kept_each_frame(settings.release_ms, rate_hz),
        direction=-1.0,
        offset_db=settings.makeup_db,
    )


def bell_curve(settings: DynamicBell, rate_hz: int) -> Curve:
    """How far the bell moves: 1 − 1/ratio dB for each dB above the threshold, at most the range.

    The detector hears the band times (10^(range/20) − 1), so the threshold moves along.
    """
    reach_db = gain_to_db(abs(db_to_gain(settings.range_db) - 1.0))
    return Curve(
        threshold_db=settings.threshold_dbfs + reach_db,
        half_knee_db=0.0,
        knee_scale=0.0,
        slope=1.0 - 1.0 / settings.ratio,
        most_db=abs(settings.range_db),
        attack=kept_each_frame(settings.attack_ms, rate_hz),
        release=kept_each_frame(settings.release_ms, rate_hz),
        direction=math.copysign(1.0, settings.range_db),
        offset_db=0.0,
    )


class CompressorRunner:
    """One gain for all channels, from the loudest of them as the side chain hears it."""

    latency = 0

    def __init__(self, settings: Compressor, rate_hz: int, channels: int) -> None:
        corner_hz = settings.sidechain_high_pass_hz
        self._ear = (
            Filter(follow(high_pass(corner_hz, 2, math.sqrt(0.5)), rate_hz), channels) if corner_hz else None
        )
        self._detector = Detector(compressor_curve(settings, rate_hz))

    def process(self, block: Block) -> Block:
        return self.process_with_gain(block)[0]

    def process_with_gain(self, block: Block) -> tuple[Block, Gains]:
        """The compressed block, and the gain that made it, makeup included, (frames,)."""
        gain = self._detector.gains(self._ear.process(block) if self._ear else block)
        return block * gain, gain

    def apply_gain(self, block: Block, gain: Gains) -> Block:
        """This block with a gain decided elsewhere."""
        return block * gain


class DynamicBellRunner:
    """Between the signal and what a bell moved all the way makes of it.

    With H the bell at its full range and B = (H − 1) / (10^(range/20) − 1) its band, the output is
    1 + (G − 1) B: H itself when the gain G is the whole range, the signal bit for bit when it is 1,
    and in between, since the poles of a bell of q and gain g are those of a band-pass of q 10^(g/40),
    the analogue bell with that pole q held.
    """

    latency = 0

    def __init__(self, settings: DynamicBell, rate_hz: int, channels: int) -> None:
        whole = bell(settings.freq_hz, settings.range_db, settings.q)
        self._bell = Filter(follow(whole, rate_hz), channels)
        self._reach = db_to_gain(settings.range_db) - 1.0
        self._detector = Detector(bell_curve(settings, rate_hz))

    def process(self, block: Block) -> Block:
        return self.process_with_gain(block)[0]

    def process_with_gain(self, block: Block) -> tuple[Block, Gains]:
        """The treated block, and the gain of the bell's centre, (frames,)."""
        change = self._change(block)
        gain = self._detector.gains(change)
        return self._part_of(change, block, gain), gain

    def apply_gain(self, block: Block, gain: Gains) -> Block:
        """This block with a gain of the bell's centre decided elsewhere."""
        return self._part_of(self._change(block), block, gain)

    def _change(self, block: Block) -> Block:
        """What the bell moved all the way would add: its band times (10^(range/20) − 1)."""
        moved = self._bell.process(block)
        return np.subtract(moved, block, out=moved)

    def _part_of(self, change: Block, block: Block, gain: Gains) -> Block:
        change *= (gain - 1.0) / self._reach
        change += block
        return change


@prepare.register
def _(settings: Compressor, rate_hz: int, channels: int) -> Runner:
    return CompressorRunner(settings, rate_hz, channels)


@prepare.register
def _(settings: DynamicBell, rate_hz: int, channels: int) -> Runner:
    return DynamicBellRunner(settings, rate_hz, channels)


@comes_to_nothing.register
def _(settings: Compressor) -> bool:
    return settings.ratio == 1.0 and settings.makeup_db == 0.0


@comes_to_nothing.register
def _(settings: DynamicBell) -> bool:
    return db_to_gain(settings.range_db) == 1.0 or settings.ratio == 1.0
