"""Bell, shelves, passes and tilt: settings to a runner, and the curve they draw."""

from __future__ import annotations

from functools import singledispatch

import numpy as np
from numpy.typing import NDArray

from arsis.dsp import prototypes
from arsis.dsp.filters import follow, response
from arsis.dsp.prototypes import Numbers, Prototype
from arsis.settings import Bell, HighPass, HighShelf, LowPass, LowShelf, Tilt

from .base import Runner, comes_to_nothing, prepare
from .linear_phase import linear_phase_response, linear_phase_runner
from .sections import SectionRunner

Tone = Bell | LowShelf | HighShelf | HighPass | LowPass | Tilt


@singledispatch
def prototype(settings: Tone) -> Prototype:
    """The analogue curve that the settings ask for."""
    raise TypeError(f"no curve for {type(settings).__name__}")


@prototype.register
def _(settings: Bell) -> Prototype:
    return prototypes.bell(settings.freq_hz, settings.gain_db, settings.q)


@prototype.register
def _(settings: LowShelf) -> Prototype:
    return prototypes.low_shelf(settings.freq_hz, settings.gain_db, settings.q)


@prototype.register
def _(settings: HighShelf) -> Prototype:
    return prototypes.high_shelf(settings.freq_hz, settings.gain_db, settings.q)


@prototype.register
def _(settings: HighPass) -> Prototype:
    return prototypes.high_pass(settings.freq_hz, settings.order, settings.q)


@prototype.register
def _(settings: LowPass) -> Prototype:
    return prototypes.low_pass(settings.freq_hz, settings.order, settings.q)


@prototype.register
def _(settings: Tilt) -> Prototype:
    return prototypes.tilt(settings.freq_hz, settings.gain_db)


def tone_response(settings: Tone, freq_hz: Numbers, rate_hz: int) -> NDArray[np.complex128]:
    """H of the filter itself at each frequency; with linear phase without its latency, so that H is real."""
    if settings.phase == "linear":
        return linear_phase_response(prototype(settings), freq_hz, rate_hz)
    return response(follow(prototype(settings), rate_hz), freq_hz, rate_hz)


def response_db(settings: Tone, freq_hz: Numbers, rate_hz: int) -> Numbers:
    """What the processor does to the level at each frequency; minus infinity where nothing passes."""
    with np.errstate(divide="ignore"):
        return 20.0 * np.log10(np.abs(tone_response(settings, freq_hz, rate_hz)))


def _prepare(settings: Tone, rate_hz: int, channels: int) -> Runner:
    if settings.phase == "linear":
        return linear_phase_runner(prototype(settings), rate_hz, channels)
    return SectionRunner(follow(prototype(settings), rate_hz), channels)


def _flat(settings: Bell | LowShelf | HighShelf | Tilt) -> bool:
    return settings.gain_db == 0.0


def _never(settings: HighPass | LowPass) -> bool:
    return False


for _kind in (Bell, LowShelf, HighShelf, HighPass, LowPass, Tilt):
    prepare.register(_kind)(_prepare)
for _kind in (Bell, LowShelf, HighShelf, Tilt):
    comes_to_nothing.register(_kind)(_flat)
for _kind in (HighPass, LowPass):
    comes_to_nothing.register(_kind)(_never)
