"""What a processor does at each frequency, from the same designs that run.

For drawing and predicting: a factor for each frequency, its size the level and its angle the phase. Latency
is left out, as the render takes it out.
"""

from __future__ import annotations

from functools import singledispatch
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from arsis.dsp.filters import response
from arsis.dsp.prototypes import Numbers
from arsis.settings import (
    Bell,
    Delay,
    DynamicBell,
    Gain,
    HighPass,
    HighShelf,
    LowPass,
    LowShelf,
    Polarity,
    Processor,
    Tilt,
    Width,
)
from arsis.units import db_to_gain

from .stereo import fold_sections
from .tone import tone_response

Factors: TypeAlias = NDArray[np.complex128]


@singledispatch
def factors(settings: Processor, freq_hz: Numbers, rate_hz: int) -> Factors | None:
    """A factor for each frequency, on whatever the processor works on; None where it depends on the level.

    Raises PlanError where the settings make no sense at this rate.
    """
    return None


def moved_all_the_way(settings: Processor) -> Processor | None:
    """The fixed processor that a level-dependent one is at the end of its range; None where it has no end."""
    if not isinstance(settings, DynamicBell):
        return None
    return Bell(freq_hz=settings.freq_hz, gain_db=settings.range_db, q=settings.q, channel=settings.channel)


def works_on(settings: Processor) -> str:
    """`stereo`, `mid`, `side`, `left` or `right`."""
    return "side" if isinstance(settings, Width) else settings.channel


def _tone(
    settings: Bell | LowShelf | HighShelf | HighPass | LowPass | Tilt, freq_hz: Numbers, rate_hz: int
) -> Factors:
    return tone_response(settings, freq_hz, rate_hz)


for _kind in (Bell, LowShelf, HighShelf, HighPass, LowPass, Tilt):
    factors.register(_kind)(_tone)


@factors.register
def _(settings: Gain, freq_hz: Numbers, rate_hz: int) -> Factors:
    return np.full(len(freq_hz), complex(db_to_gain(settings.gain_db)))


@factors.register
def _(settings: Polarity, freq_hz: Numbers, rate_hz: int) -> Factors:
    return np.full(len(freq_hz), -1.0 + 0.0j)


@factors.register
def _(settings: Delay, freq_hz: Numbers, rate_hz: int) -> Factors:
    turned: Factors = np.exp(-2j * np.pi * freq_hz * settings.delay_frames / rate_hz)
    return turned


@factors.register
def _(settings: Width, freq_hz: Numbers, rate_hz: int) -> Factors:
    whole: Factors = np.full(len(freq_hz), complex(db_to_gain(settings.side_db)))
    sections = fold_sections(settings, rate_hz)
    return whole if sections is None else whole * response(sections, freq_hz, rate_hz)
