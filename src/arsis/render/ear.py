"""What became of every step, heard while a plan renders.

A step is asked for by the plan, passed by everything before the limiter, and what arrives is measured
on the print. What the limiter took of it is the difference of the last two (law 11).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block, Span
from arsis.measure.loudness import HOPS_PER_SECOND, LoudnessMeter, section_lufs
from arsis.measure.summary import Meters
from arsis.plan.model import Song
from arsis.process import is_neutral
from arsis.settings import Gain, Processor

from .engine import Taps
from .run import Way
from .schedule import Schedule, schedule
from .source import Source
from .took import TookMeter
from .words import Words

# A print whose limiter takes more than this of an asked step is reported (law 11).
MOST_OF_A_STEP = 0.25
# Steps smaller than this were not meant to be heard.
LEAST_STEP_DB = 0.1


@dataclass(frozen=True, slots=True)
class SectionTook:
    """What the limiter took over a section, in dB and as a share of time, and of the step into it, in LU."""

    mean_db: float
    max_db: float
    share: float
    step_db: float | None


def asked_steps_db(song: Song, plan: Schedule) -> tuple[float | None, ...]:
    """What the plan asks of the step into each section: ride, drawn ride (mean), gains of its pass.

    None into the first section, and into or out of a pass printed elsewhere: the plan does not know what
    level was given to it there.
    """
    printed = [song.pass_[section.pass_].print for section in song.section]
    known = (None, *(before == after for before, after in pairwise(printed)))
    asked = steps(_asked_levels_db(song, plan))
    return tuple(step if knows else None for step, knows in zip(asked, known, strict=True))


def _asked_levels_db(song: Song, plan: Schedule) -> list[float]:
    drawn = [_mean_db(plan, span) if plan.ride else 0.0 for span in plan.sections]
    return [
        section.ride_db + ride_db + sum(_gain_db(link) for link in song.pass_[section.pass_].chain)
        for section, ride_db in zip(song.section, drawn, strict=True)
    ]


def _gain_db(link: Processor) -> float:
    if not isinstance(link, Gain) or link.channel != "stereo" or is_neutral(link):
        return 0.0
    return link.gain_db


def _mean_db(plan: Schedule, span: Span) -> float:
    """Mean level of the drawn ride over a section: it is linear in dB, so a thousand places are plenty."""
    at = np.linspace(span.start, span.end, 1_000)
    return float(np.interp(at, [p.frame for p in plan.ride], [p.gain_db for p in plan.ride]).mean())


def steps(levels: Sequence[float]) -> tuple[float | None, ...]:
    """Change into each section; the first has none."""
    return (None, *(float(b - a) for a, b in pairwise(levels)))


class PrintEar:
    """Listens to a render: what the limiter was asked to pass, what it took, and the finished words."""

    def __init__(self, source: Source, way: Way) -> None:
        info = source.mix.info
        self._source = source
        self.plan = schedule(source.song, info.rate_hz, info.frames)
        self.rate_hz = way.out_rate_hz
        self.sections = tuple(_at_rate(span, info.rate_hz, way.out_rate_hz) for span in self.plan.sections)
        self.asked = LoudnessMeter(self.rate_hz, info.channels)
        self.print = Meters(self.rate_hz, info.channels)
        self.took = TookMeter(self.sections, self.rate_hz)
        self._full_scale = 1.0 if way.word.is_float else 2.0 ** (1 - way.word.bits)

    @property
    def taps(self) -> Taps:
        return Taps(asked=self.asked.add, gain=self.took.add)

    def hear(self, words: Words) -> Block:
        """The next finished words; gives them as sound."""
        sound = np.multiply(words, self._full_scale, dtype=np.float64)
        self.print.add(sound)
        return sound

    def steps_taken_db(self) -> tuple[float | None, ...]:
        """What the limiter took of the step into each section, in LU."""
        asked = steps(self._levels(self.asked.energies()))
        arrived = steps(self._levels(self.print.energies()))
        return tuple(None if a is None or b is None else a - b for a, b in zip(asked, arrived, strict=True))

    def steps_asked_db(self) -> tuple[float | None, ...]:
        """What the plan asks of the step into each section; see `asked_steps_db`."""
        return asked_steps_db(self._source.song, self.plan)

    def section_took(self) -> tuple[SectionTook, ...]:
        return tuple(
            SectionTook(took.mean_db, took.max_db, took.share, step_db)
            for took, step_db in zip(self.took.result(), self.steps_taken_db(), strict=True)
        )

    def _levels(self, energies: NDArray[np.float64]) -> list[float]:
        per_second = HOPS_PER_SECOND / self.rate_hz
        return [
            section_lufs(energies, round(s.start * per_second), round(s.end * per_second))
            for s in self.sections
        ]


def _at_rate(span: Span, from_hz: int, to_hz: int) -> Span:
    return (
        span
        if from_hz == to_hz
        else Span(round(span.start * to_hz / from_hz), round(span.end * to_hz / from_hz))
    )
