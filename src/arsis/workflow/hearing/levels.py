"""Levels for comparing by ear: the louder is turned down."""

from __future__ import annotations

import math
from collections.abc import Mapping

from arsis.measure.loudness import HOPS_PER_SECOND, section_lufs
from arsis.units import power_to_db

from .measured import Measured


def level_lufs(sound: Measured, start_s: float | None, end_s: float | None) -> float | None:
    """Ungated loudness over a range; gated loudness of the whole where none is given; None for silence.

    As it is heard: one channel counts on both sides.
    """
    if start_s is None or end_s is None:
        level = sound.integrated_lufs
    else:
        start, end = (round(time_s * HOPS_PER_SECOND) for time_s in (start_s, end_s))
        level = section_lufs(sound.energies, start, max(end, start + 1))
    if not math.isfinite(level):
        return None
    return level + power_to_db(2.0 / sound.channels)


def trims_db(levels: Mapping[str, float | None]) -> dict[str, float]:
    """Gain of each, 0 dB or less, that brings all that sound to the level of the quietest."""
    heard = [level for level in levels.values() if level is not None]
    quietest = min(heard, default=0.0)
    return {name: 0.0 if level is None else quietest - level for name, level in levels.items()}
