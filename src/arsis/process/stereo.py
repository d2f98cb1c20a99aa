"""Width: the level of the sides, and the frequency below which they fold to mono."""

from __future__ import annotations

import numpy as np

from arsis.audio import Block
from arsis.dsp.filters import follow
from arsis.dsp.prototypes import Numbers, high_pass
from arsis.settings import Width
from arsis.units import db_to_gain

from .base import Runner, Through, comes_to_nothing, prepare
from .level import GainRunner
from .sections import SectionRunner

# Second order: the gentlest that clears the bottom of a side signal (12 dB per octave) without
# turning its phase against the middle far above the fold. Common practice, no source.
FOLD_ORDER, FOLD_Q = 2, 0.5**0.5
FOLDS_FROM_HZ = 1.0  # a fold below this would take away nothing that is sound


def fold_sections(settings: Width, rate_hz: int) -> Numbers | None:
    """What the sides go through; None where they do not fold."""
    if settings.fold_below_hz < FOLDS_FROM_HZ:
        return None
    return follow(high_pass(settings.fold_below_hz, FOLD_ORDER, FOLD_Q), rate_hz)


class WidthRunner:
    """Adds to left and takes from right what changes in the sides, so that the middle is left alone.

    Where left and right are alike there is no side, nothing is added, and every bit stays.
    """

    latency = 0

    def __init__(self, settings: Width, rate_hz: int) -> None:
        self._gain = GainRunner(db_to_gain(settings.side_db))
        sections = fold_sections(settings, rate_hz)
        self._fold: Runner = Through() if sections is None else SectionRunner(sections, 1)

    def process(self, block: Block) -> Block:
        side = 0.5 * (block[:1] - block[1:])
        change = (self._gain.process(self._fold.process(side)) - side)[0]
        return np.stack([block[0] + change, block[1] - change])


@prepare.register
def _(settings: Width, rate_hz: int, channels: int) -> Runner:
    return WidthRunner(settings, rate_hz) if channels == 2 else Through()


@comes_to_nothing.register
def _(settings: Width) -> bool:
    return settings.side_db == 0.0 and settings.fold_below_hz < FOLDS_FROM_HZ
