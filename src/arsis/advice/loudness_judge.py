"""One gain into the limiter, judged: what is there then, what it costs, and which limit that passes."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Span
from arsis.measure.attack import HOPS_PER_SECOND, prominences_db, strong_onsets
from arsis.measure.dynamics import plr_db
from arsis.measure.loudness import HOPS_PER_SECOND as TENS_PER_SECOND
from arsis.measure.loudness import Powers, coarser, integrated_lufs, section_lufs
from arsis.render.ear import LEAST_STEP_DB, MOST_OF_A_STEP, asked_steps_db, steps
from arsis.render.schedule import Schedule
from arsis.render.source import Source
from arsis.units import gain_to_db

from .loudness_soundings import Asked, Sounding

# What is taken at most; what is kept of a step, and of what the plan asks of one; attack; the true peak where
# no limiter holds it; the plan's own bound on the gain.
Limit: TypeAlias = Literal["most_db", "step", "asked", "attack", "ceiling", "gain"]
# A figure and its section; None where there is none.
Worst: TypeAlias = tuple[float | None, str | None]

# Common practice, no source: half a dB less of every stroke is where drums begin to sit back.
MOST_OF_ATTACK_DB = 0.5
# Common practice, no source: of fewer strong onsets the mean moves with each of them (docs/attack.md).
LEAST_ONSETS = 4
# EBU R 128 (v4.0, 2020): maximum true peak of a programme.
CEILING_DBTP = -1.0
# What is passed by less is met: the last bits of a logarithm.
EVEN = 1e-6
_TIMES = HOPS_PER_SECOND // TENS_PER_SECOND


@dataclass(frozen=True, slots=True)
class LoudnessRow:
    """A gain of the finish and what comes of it.

    took_max_in: the section where it takes most. step_kept: what is left of the step that loses the largest
    share, 1 for all of it, and the section it leads into; None without steps up. asked_kept: the same of what
    the plan asks of a step (docs/took.md), which a print reports. attack_change_db: of the section that loses
    most; None without onsets. broken: the limits that are passed.
    """

    gain_db: float
    integrated_lufs: float
    took_max_db: float
    took_max_in: str | None
    took_share: float
    step_kept: float | None
    step_kept_into: str | None
    asked_kept: float | None
    asked_kept_into: str | None
    attack_change_db: float | None
    attack_change_in: str | None
    true_peak_dbtp: float
    plr_db: float | None
    within: bool = True
    broken: tuple[Limit, ...] = ()

    def place(self, limit: Limit) -> str | None:
        """The section in which a limit is passed; None for those of the whole song."""
        places = {
            "most_db": self.took_max_in,
            "step": self.step_kept_into,
            "asked": self.asked_kept_into,
            "attack": self.attack_change_in,
        }
        return places.get(limit)


class Judge:
    """Judges the gains of one song."""

    def __init__(self, source: Source, plan: Schedule, asked: Asked) -> None:
        limiter, rate_hz = source.song.finish.limiter, source.mix.info.rate_hz
        self.asked = asked
        self.most_db = limiter.most_db if limiter is not None else None
        self.ceiling_dbtp = limiter.ceiling_dbtp if limiter is not None else CEILING_DBTP
        self._names = [section.name for section in source.song.section]
        self._spans = [_hops(span, rate_hz, HOPS_PER_SECOND) for span in plan.sections]
        self._tens = [_hops(span, rate_hz, TENS_PER_SECOND) for span in plan.sections]
        self._onsets = [strong_onsets(asked.powers[span]) for span in self._spans]
        self._prominences_db = [
            prominences_db(asked.powers[span], at) for span, at in zip(self._spans, self._onsets, strict=True)
        ]
        self._steps_lu = self._steps(asked.powers)
        self._asked_db = asked_steps_db(source.song, plan)

    def row(self, gain_db: float, sounding: Sounding | None = None) -> LoudnessRow:
        """What comes of a gain; without a sounding, where the limiter rests or there is none."""
        took_db, took_in = self._took(sounding)
        (kept, kept_into), (asked, asked_into) = self._kept(sounding)
        attack_db, attack_in = self._attack(sounding)
        lufs = self.lufs(gain_db, sounding)
        peak_dbtp = self.asked.peak_dbtp + gain_db if sounding is None else sounding.peak_dbtp
        row = LoudnessRow(
            gain_db=gain_db,
            integrated_lufs=lufs,
            took_max_db=took_db,
            took_max_in=took_in,
            took_share=sounding.share if sounding is not None else 0.0,
            step_kept=kept,
            step_kept_into=kept_into,
            asked_kept=asked,
            asked_kept_into=asked_into,
            attack_change_db=attack_db,
            attack_change_in=attack_in,
            true_peak_dbtp=peak_dbtp,
            plr_db=plr_db(peak_dbtp, lufs),
        )
        broken = tuple(limit for limit, over in self.over(row).items() if over > EVEN)
        return replace(row, within=not broken, broken=broken)

    def over(self, row: LoudnessRow) -> dict[Limit, float]:
        """By how much each limit is passed, in its own unit; negative where there is room."""
        over: dict[Limit, float] = {}
        if self.most_db is None:
            over["ceiling"] = row.true_peak_dbtp - self.ceiling_dbtp
        else:
            over["most_db"] = row.took_max_db - self.most_db
        if row.step_kept is not None:
            over["step"] = 1.0 - MOST_OF_A_STEP - row.step_kept
        if row.asked_kept is not None:
            over["asked"] = 1.0 - MOST_OF_A_STEP - row.asked_kept
        if row.attack_change_db is not None:
            over["attack"] = -MOST_OF_ATTACK_DB - row.attack_change_db
        return over

    def lufs(self, gain_db: float, sounding: Sounding | None = None) -> float:
        """Integrated loudness at a gain."""
        printed = self._printed(sounding) * 10.0 ** (gain_db / 10.0)
        return integrated_lufs(coarser(printed, _TIMES))

    def _printed(self, sounding: Sounding | None) -> Powers:
        """Powers after the limiter, its gain being steady over 2 ms (docs/loudness-limits.md)."""
        return self.asked.powers if sounding is None else self.asked.powers * sounding.kept

    def _took(self, sounding: Sounding | None) -> tuple[float, str | None]:
        if sounding is None or sounding.lowest.min() >= 1.0:
            return 0.0, None
        lowest = [float(sounding.lowest[span].min(initial=1.0)) for span in self._spans]
        where = int(np.argmin(lowest))
        return -gain_to_db(float(sounding.lowest.min())), self._names[where]

    def _steps(self, powers: Powers) -> list[float | None]:
        tens = coarser(powers, _TIMES)
        return list(steps([section_lufs(tens, span.start, span.stop) for span in self._tens]))

    def _kept(self, sounding: Sounding | None) -> tuple[Worst, Worst]:
        """The least that is left of a step up, and of a step up that the plan asks for: as shares."""
        arrived = self._steps(self._printed(sounding))
        heard, asked = [], []
        for before, after, asked_db, name in zip(
            self._steps_lu, arrived, self._asked_db, self._names, strict=True
        ):
            if before is None or after is None or not math.isfinite(before) or not math.isfinite(after):
                continue
            if before >= LEAST_STEP_DB:
                heard.append((after / before, name))
            if asked_db is not None and asked_db >= LEAST_STEP_DB:
                asked.append((1.0 - (before - after) / asked_db, name))
        return _worst(heard, 1.0), _worst(asked, 1.0)

    def _attack(self, sounding: Sounding | None) -> Worst:
        """The largest loss of attack of a section that has enough onsets, and the section."""
        changes = [
            (self._attack_change_db(span, at, before_db, sounding), name)
            for span, at, before_db, name in zip(
                self._spans, self._onsets, self._prominences_db, self._names, strict=True
            )
            if at.size >= LEAST_ONSETS
        ]
        return _worst(changes, 0.0)

    def _attack_change_db(
        self, span: slice, at: NDArray[np.int64], before_db: Powers, sounding: Sounding | None
    ) -> float:
        if sounding is None or sounding.kept[span].min() >= 1.0:
            return 0.0
        after_db = prominences_db(self.asked.powers[span] * sounding.kept[span], at)
        return float((after_db - before_db).mean())


def _worst(found: list[tuple[float, str]], untouched: float) -> Worst:
    """The least figure and its section; no section where nothing is lost."""
    least, place = min(found, default=(None, None))
    return least, place if least is not None and least < untouched else None


def _hops(span: Span, rate_hz: int, per_second: int) -> slice:
    return slice(round(span.start * per_second / rate_hz), round(span.end * per_second / rate_hz))
