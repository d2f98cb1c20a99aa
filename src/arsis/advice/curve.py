"""The shape of a song or a record, a few figures for each kind of section, so that two can be compared.

Levels are re the integrated loudness: two sounds compared by them are compared at matched loudness.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from arsis.measure.summary import SectionFacts, SoundFacts
from arsis.render.contour import Contour
from arsis.units import power_to_db

WHOLE = "whole"


@dataclass(frozen=True, slots=True)
class Part:
    """A section as it was measured."""

    kind: str
    duration_s: float
    facts: SectionFacts


@dataclass(frozen=True, slots=True)
class KindCurve:
    """All sections of one kind taken together; `whole`: all of the sound. None for what does not exist.

    loudness_lu, third_octaves_db: re the integrated loudness of the whole; powers are averaged over time.
    step_lu: mean step from what comes before into such a section. The rest: means weighted by time, in their
    own units.
    """

    kind: str
    duration_s: float
    loudness_lu: float
    third_octaves_db: tuple[float | None, ...]
    width_db: float | None
    attack_db: float | None
    density_per_s: float
    voice_db: float | None
    step_lu: float | None


@dataclass(frozen=True, slots=True)
class Curve:
    """kinds: the whole first, then each kind of section in the order of its first."""

    integrated_lufs: float
    plr_db: float | None
    range_lu: float | None
    kinds: tuple[KindCurve, ...]

    def of(self, kind: str) -> KindCurve | None:
        """The sections of a kind, where there are any."""
        return next((one for one in self.kinds if one.kind == kind), None)


def contour_curve(contour: Contour, of: Literal["mix", "print"]) -> Curve | None:
    """The curve of a song's mix or print; None for silence."""
    heard: SoundFacts = getattr(contour, of)
    parts = [Part(one.kind, one.end_s - one.start_s, getattr(one, of)) for one in contour.sections]
    return curve_of(heard, parts)


def curve_of(sound: SoundFacts, parts: Sequence[Part]) -> Curve | None:
    """The curve of a sound whose sections are `parts`, in their order; None for silence."""
    steps: dict[str, list[float]] = {}
    for before, after in pairwise(parts):
        step_lu = after.facts.loudness_lufs - before.facts.loudness_lufs
        if math.isfinite(step_lu):
            steps.setdefault(after.kind, []).append(step_lu)
    heard = [part for part in parts if math.isfinite(part.facts.loudness_lufs)]
    if not heard or not math.isfinite(sound.integrated_lufs):
        return None
    kinds = [
        _together(kind, [part for part in heard if kind in (WHOLE, part.kind)], sound.integrated_lufs, steps)
        for kind in dict.fromkeys([WHOLE, *(part.kind for part in heard)])
    ]
    return Curve(sound.integrated_lufs, sound.plr_db, sound.range_lu, tuple(kinds))


def _together(
    kind: str, parts: Sequence[Part], integrated_lufs: float, steps: dict[str, list[float]]
) -> KindCurve:
    def mean(figure: Callable[[SectionFacts], float | None]) -> float | None:
        values = [(figure(part.facts), part.duration_s) for part in parts]
        known = [(value, time_s) for value, time_s in values if value is not None and math.isfinite(value)]
        total_s = sum(time_s for _, time_s in known)
        return sum(value * time_s for value, time_s in known) / total_s if total_s > 0.0 else None

    def level(figure: Callable[[SectionFacts], float]) -> float | None:
        power = mean(lambda facts: 10.0 ** (figure(facts) / 10.0))
        return power_to_db(power) - integrated_lufs if power else None

    def third_octave(number: int) -> float | None:
        return level(lambda facts: facts.third_octave_db[number])

    into = steps.get(kind, [])
    return KindCurve(
        kind=kind,
        duration_s=sum(part.duration_s for part in parts),
        loudness_lu=level(lambda facts: facts.loudness_lufs) or 0.0,
        third_octaves_db=tuple(third_octave(n) for n in range(len(parts[0].facts.third_octave_db))),
        width_db=mean(lambda facts: facts.width_db),
        attack_db=mean(lambda facts: facts.attack_db),
        density_per_s=mean(lambda facts: facts.density_per_s) or 0.0,
        voice_db=mean(lambda facts: facts.voice_db),
        step_lu=sum(into) / len(into) if into else None,
    )
