"""The step into the refrains, their width, and the attack: figures of a level, judged against what is usual.

What is usual was measured on balanced songs (docs/advise.md): refrains stand about 1.9 LU over verses (0.5 to
2.6). Strokes that are the same in both are 0.3 dB quieter in refrains, where more goes through the mix's
compressor, and as wide; what sounds much alike is 0.35 dB louder in them and 0.5 dB wider. Their peaks stand
lower over the loudness the larger the step is, since more sounds between the hits.
"""

from __future__ import annotations

from dataclasses import dataclass

from arsis.report.text import change, number

from .evidence import Evidence
from .finding import between
from .pair import Pair

USUAL_STEP_LU = 1.9
STROKES_LEVEL_DB, STROKES_WIDTH_DB = -0.3, 0.05
ALIKE_LEVEL_DB, ALIKE_WIDTH_DB = 0.35, 0.5
KNOWN_LEVEL_DB, KNOWN_WIDTH_DB = 0.45, 0.4  # errors by strokes: what is known less well, what is alike tells
# What peaks and step say of an attack that a fast compressor took, in dB of `attack_db`: fitted to 43 songs
# as they are and dulled (docs/advise.md).
ATTACK_A_DB, ATTACK_A_LU, ATTACK_USUAL_DB = 0.81, 0.51, 0.35
STROKES_TRUST = 0.65  # of a missing step by strokes; the rest is the step itself
LEAST_SEEN = 0.5  # of a width that was planted
# A refrain may stand less than this over the verse and still be right: what sounds in both tells.
LEAST_STEP_LU, LEAST_LEVEL_DB = 1.0, -0.35
# Kinds so much alike differ by little else than their level, which then is the better view.
ALIKE = (0.65, 0.85)
LEAST_CUT_DB, LEAST_STROKES_CUT_DB, LEAST_WIDTH_DB, LEAST_ATTACK_DB = 0.6, 0.85, 0.9, 0.9


@dataclass(frozen=True, slots=True)
class _Cut:
    """How much of a step is missing. level_db: how much louder refrains have what sounds in both."""

    db: float
    error_db: float
    level_db: float
    told: bool


def judge_step(pair: Pair) -> Evidence | str:
    """Whether the refrains are held back: too little of a step, and what plays in both no louder."""
    if not pair.has_refrains or pair.other.kind not in ("verse", "pre_chorus"):
        return f"step: {change(pair.step_lu)} LU from {pair.other.named} to {pair.one.named}"
    cut = _cut(pair)
    if cut is None or not cut.told:
        return f"step: refrains stand {_stand(pair)}"
    return Evidence(
        what="step",
        kind=pair.one.kind,
        against=pair.other.kind,
        sections=pair.one.sections,
        size_db=-cut.db,
        says=f"Refrains stand {_stand(pair)}, and what sounds in both is "
        f"{_louder(cut.level_db)} in them: about {number(cut.db)} dB is missing.",
        sure=between(cut.db - cut.error_db, LEAST_CUT_DB, 2.0, 0.6, 0.95),
    )


def _cut(pair: Pair) -> _Cut | None:
    by_step_db = USUAL_STEP_LU - pair.step_lu
    level = pair.by_strokes.left.level  # a dip is no lack of level
    if level is not None and level.error < KNOWN_LEVEL_DB:
        cut_db = STROKES_TRUST * (STROKES_LEVEL_DB - level.value) + (1.0 - STROKES_TRUST) * by_step_db
        return _Cut(cut_db, level.error, level.value, cut_db >= LEAST_STROKES_CUT_DB)
    if pair.between is None:
        return None
    alike = pair.between.level_db
    trust = between(pair.between.alike, *ALIKE, 0.5, 1.0)
    cut_db = trust * (ALIKE_LEVEL_DB - alike.value) + (1.0 - trust) * by_step_db
    small = pair.step_lu < LEAST_STEP_LU and alike.value < LEAST_LEVEL_DB
    return _Cut(cut_db, alike.error, alike.value, small and cut_db >= LEAST_CUT_DB)


def judge_width(pair: Pair) -> Evidence | str:
    """Whether what sounds in both is narrower in the refrains than it should be."""
    seen = _width(pair)
    if seen is None:
        return "width: there are no sides, or too little to hear them by"
    width_db, error_db, usual_db, share = seen
    if not pair.has_refrains:
        return f"width: what sounds in both is {_wider(width_db)} in {pair.one.named}"
    lacks_db = (usual_db - width_db) / share
    if lacks_db < LEAST_WIDTH_DB:
        return f"width: what sounds in both is {_wider(width_db)} in refrains"
    return Evidence(
        what="width",
        kind=pair.one.kind,
        against=pair.other.kind,
        sections=pair.one.sections,
        size_db=-lacks_db,
        says=f"Beside {pair.other.named}, what sounds in both is {_wider(width_db)} in refrains; "
        f"{_wider(usual_db)} is usual.",
        sure=between(lacks_db - error_db, LEAST_WIDTH_DB, 2.0, 0.6, 0.95),
    )


def _width(pair: Pair) -> tuple[float, float, float, float] | None:
    """The width of refrains, its error, what is usual, and the share that is seen."""
    width = pair.strokes.width
    if width is not None and width.error < KNOWN_WIDTH_DB:
        return width.value, width.error, STROKES_WIDTH_DB, 1.0
    if pair.between is None or pair.between.width_db is None:
        return None
    alike = pair.between.width_db
    return alike.value, alike.error, ALIKE_WIDTH_DB, max(pair.between.found[-1], LEAST_SEEN)


def judge_attack(pair: Pair, cut_db: float) -> Evidence | str:
    """Whether one kind's hits stand out less than the other's. cut_db: what the step lacks already."""
    peaks_db = pair.one.peaks_db - pair.other.peaks_db
    apart_db = ATTACK_A_DB * peaks_db + ATTACK_A_LU * (pair.step_lu + cut_db) - ATTACK_USUAL_DB
    weak, other = pair.weak(apart_db)
    if abs(apart_db) < LEAST_ATTACK_DB:
        return (
            f"attack: peaks stand {number(pair.one.peaks_db)} dB over the loudness in {pair.one.named}, "
            f"{number(pair.other.peaks_db)} dB in {pair.other.named}"
        )
    return Evidence(
        what="attack",
        kind=weak.kind,
        against=other.kind,
        sections=weak.sections,
        size_db=-abs(apart_db),
        says=f"Peaks stand {number(weak.peaks_db)} dB over the loudness in {weak.named} and "
        f"{number(other.peaks_db)} dB in {other.named}: about {number(abs(apart_db))} dB less attack than "
        "the step between them explains.",
        sure=between(abs(apart_db), LEAST_ATTACK_DB, 2.0, 0.6, 0.9),
    )


def _stand(pair: Pair) -> str:
    return f"{number(abs(pair.step_lu))} LU {'over' if pair.step_lu >= 0.0 else 'under'} {pair.other.named}"


def _louder(level_db: float) -> str:
    if abs(level_db) < 0.05:
        return "no louder"
    return f"{number(abs(level_db))} dB {'louder' if level_db > 0.0 else 'quieter'}"


def _wider(width_db: float) -> str:
    if abs(width_db) < 0.05:
        return "as wide"
    return f"{number(abs(width_db))} dB {'wider' if width_db > 0.0 else 'narrower'}"
