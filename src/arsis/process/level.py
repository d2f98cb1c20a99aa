"""Gain, polarity and delay."""

from __future__ import annotations

import math

import numpy as np

from arsis.audio import Block
from arsis.dsp.prototypes import Numbers
from arsis.settings import Delay, Gain, Polarity
from arsis.units import db_to_gain

from .base import Runner, comes_to_nothing, prepare
from .convolution import ConvolutionRunner
from .lag import Lag

# Half-length and Kaiser shape of the interpolator: within 0.001 dB up to 0.94 of Nyquist (measured).
HALF_FRAMES, KAISER_BETA = 64, 10.0


class GainRunner:
    """Every sample times one number."""

    latency = 0

    def __init__(self, gain: float) -> None:
        self._gain = gain

    def process(self, block: Block) -> Block:
        return block * self._gain


class DelayRunner:
    """Whole frames by waiting, parts of one by a windowed sinc.

    The delay itself is meant and so not part of `latency`; the half-length of the sinc is, and only
    where there is a part to interpolate: whole frames pass bit for bit.
    """

    def __init__(self, delay_frames: float, channels: int) -> None:
        whole = math.floor(delay_frames)
        self._wait = Lag(whole, channels)
        self._part: ConvolutionRunner | None = None
        if delay_frames != whole:
            self._part = ConvolutionRunner(part_of_a_frame(delay_frames - whole), HALF_FRAMES, channels)
        self.latency = self._part.latency if self._part else 0

    def process(self, block: Block) -> Block:
        waited = self._wait.process(block)
        return self._part.process(waited) if self._part else waited


def part_of_a_frame(part: float) -> Numbers:
    """Taps that delay by HALF_FRAMES + part frames, 0 <= part < 1; their sum is 1.

    T. I. Laakso, V. Välimäki, M. Karjalainen, U. K. Laine, "Splitting the unit delay", IEEE Signal
    Processing Magazine 13(1), 1996, windowed sinc with a Kaiser window.
    """
    place = np.arange(-HALF_FRAMES, HALF_FRAMES + 2) - part
    inside = np.clip(1.0 - (place / (HALF_FRAMES + 1.0)) ** 2, 0.0, 1.0)
    taps: Numbers = np.sinc(place) * np.i0(KAISER_BETA * np.sqrt(inside))
    taps /= taps.sum()
    return taps


@prepare.register
def _(settings: Gain, rate_hz: int, channels: int) -> Runner:
    return GainRunner(db_to_gain(settings.gain_db))


@comes_to_nothing.register
def _(settings: Gain) -> bool:
    return settings.gain_db == 0.0


@prepare.register
def _(settings: Polarity, rate_hz: int, channels: int) -> Runner:
    return GainRunner(-1.0)


@comes_to_nothing.register
def _(settings: Polarity) -> bool:
    return False


@prepare.register
def _(settings: Delay, rate_hz: int, channels: int) -> Runner:
    return DelayRunner(settings.delay_frames, channels)


@comes_to_nothing.register
def _(settings: Delay) -> bool:
    return settings.delay_frames == 0.0
