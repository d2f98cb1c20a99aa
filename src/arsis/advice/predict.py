"""What a move comes to: the plan with it, really rendered through the finish, beside the plan as it is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from arsis.measure.spectrum import BandLevels
from arsis.measure.summary import SectionFacts
from arsis.plan.model import Song
from arsis.render.contour import Contour, Outcome


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """A section of a print, in the contour's figures; step_lu: into it."""

    loudness_lufs: float
    step_lu: float | None
    width_db: float
    attack_db: float | None
    bands_db: BandLevels
    took_max_db: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PredictedSection:
    """now: as the plan is. then: with the move in it."""

    name: str
    now: Figures
    then: Figures


@dataclass(frozen=True, slots=True, kw_only=True)
class Predicted:
    """The print with the move, and what the move costs.

    sections: those concerned, and those that follow them, into which a step changes. costs_…: against the
    plan as it is: taken by the limiter at most, PLR, and attack in the sections concerned, on average.
    """

    integrated_lufs: float
    true_peak_dbtp: float
    plr_db: float | None
    took_max_db: float
    sections: tuple[PredictedSection, ...]
    costs_took_db: float
    costs_plr_db: float | None
    costs_attack_db: float | None


def predicted(song: Song, before: Contour, after: Outcome, concerned: Sequence[str]) -> Predicted:
    """What changes from the plan's contour to the outcome with the move."""
    names = [section.name for section in song.section]
    sections = tuple(
        PredictedSection(name=name, now=_now(before, i), then=_then(after, i))
        for i, name in enumerate(names)
        if name in concerned or (i > 0 and names[i - 1] in concerned)
    )
    lost = [
        change
        for section in sections
        if section.name in concerned
        and (change := _less(section.now.attack_db, section.then.attack_db)) is not None
    ]
    return Predicted(
        integrated_lufs=after.print.integrated_lufs,
        true_peak_dbtp=after.print.true_peak_dbtp,
        plr_db=after.print.plr_db,
        took_max_db=after.took.max_db,
        sections=sections,
        costs_took_db=after.took.max_db - before.took.max_db,
        costs_plr_db=_less(before.print.plr_db, after.print.plr_db),
        costs_attack_db=sum(lost) / len(lost) if lost else None,
    )


def _now(before: Contour, i: int) -> Figures:
    section = before.sections[i]
    return _figures(section.print, section.step_print_lu, section.took.max_db)


def _then(after: Outcome, i: int) -> Figures:
    return _figures(after.sections[i], after.steps_lu[i], after.took_sections[i].max_db)


def _figures(facts: SectionFacts, step_lu: float | None, took_max_db: float) -> Figures:
    return Figures(
        loudness_lufs=facts.loudness_lufs,
        step_lu=step_lu,
        width_db=facts.width_db,
        attack_db=facts.attack_db,
        bands_db=facts.bands_db,
        took_max_db=took_max_db,
    )


def _less(before: float | None, after: float | None) -> float | None:
    return before - after if before is not None and after is not None else None
