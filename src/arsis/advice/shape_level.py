"""The step into the refrains, their width, and the attack: figures of a level, judged against what is usual.

What is usual was measured on balanced songs (docs/advise.md): refrains stand about 1.9 LU over verses (0.5 to
2.6), what sounds in both is 0.5 dB louder in them and 0.45 dB wider, and their hits stand 0.55 dB lower over
the mean for each LU of step, since more sounds between the hits.
"""

from __future__ import annotations

from arsis.report.text import change, number

from .evidence import Evidence
from .finding import between
from .pair import Pair

USUAL_STEP_LU, USUAL_LEVEL_DB, USUAL_WIDTH_DB = 1.9, 0.5, 0.45
HITS_A_LU = -0.55
# A refrain may stand less than this over the verse and still be right: what sounds in both tells.
LEAST_SEEN = 0.5  # of a width that was planted
LEAST_STEP_LU, LEAST_LEVEL_DB = 1.0, -0.2
# Kinds so much alike differ by little else than their level, which then is the better view.
ALIKE = (0.65, 0.85)
LEAST_CUT_DB, LEAST_WIDTH_DB, LEAST_ATTACK_DB = 0.6, 0.9, 0.9


def judge_step(pair: Pair) -> Evidence | str:
    """Whether the refrains are held back: too little of a step, and what plays in both no louder."""
    if not pair.has_refrains or pair.other.kind not in ("verse", "pre_chorus"):
        return f"step: {change(pair.step_lu)} LU from {pair.other.named} to {pair.one.named}"
    level = pair.between.level_db
    by_level_db = USUAL_LEVEL_DB - level.value
    trust = between(pair.between.alike, *ALIKE, 0.5, 1.0)
    cut_db = trust * by_level_db + (1.0 - trust) * (USUAL_STEP_LU - pair.step_lu)
    if pair.step_lu >= LEAST_STEP_LU or level.value >= LEAST_LEVEL_DB or cut_db < LEAST_CUT_DB:
        return f"step: refrains stand {_stand(pair)}"
    return Evidence(
        what="step",
        kind=pair.one.kind,
        against=pair.other.kind,
        sections=pair.one.sections,
        size_db=-cut_db,
        says=f"Refrains stand {_stand(pair)}, and what sounds in both is "
        f"{_louder(level.value)} in them: about {number(cut_db)} dB are missing.",
        sure=between(cut_db - level.error, LEAST_CUT_DB, 2.0, 0.6, 0.95),
    )


def judge_width(pair: Pair) -> Evidence | str:
    """Whether what sounds in both is narrower in the refrains than it should be."""
    width = pair.between.width_db
    if width is None:
        return "width: there are no sides"
    if not pair.has_refrains:
        return f"width: {pair.one.named} {change(width.value)} dB beside {pair.other.named}"
    seen = max(pair.between.found[-1], LEAST_SEEN)
    lacks_db = (USUAL_WIDTH_DB - width.value) / seen
    if lacks_db < LEAST_WIDTH_DB:
        return f"width: what sounds in both is {change(width.value)} dB wider in refrains"
    return Evidence(
        what="width",
        kind=pair.one.kind,
        against=pair.other.kind,
        sections=pair.one.sections,
        size_db=-lacks_db,
        says=f"The sides of what sounds in both are {change(width.value)} dB in refrains beside "
        f"{pair.other.named}, where {change(USUAL_WIDTH_DB)} dB is usual.",
        sure=between(lacks_db - width.error, LEAST_WIDTH_DB, 2.0, 0.6, 0.95),
    )


def judge_attack(pair: Pair, cut_db: float) -> Evidence | str:
    """Whether one kind's hits stand out less than the other's. cut_db: what the step lacks already."""
    usual_db = HITS_A_LU * (pair.step_lu + cut_db)
    apart_db = pair.one.hits_db - pair.other.hits_db - usual_db
    weak, other = pair.weak(apart_db)
    if abs(apart_db) < LEAST_ATTACK_DB:
        return (
            f"attack: hits stand {number(pair.one.hits_db)} dB over the mean in {pair.one.named}, "
            f"{number(pair.other.hits_db)} dB in {pair.other.named}"
        )
    return Evidence(
        what="attack",
        kind=weak.kind,
        against=other.kind,
        sections=weak.sections,
        size_db=-abs(apart_db),
        says=f"Hits stand {number(weak.hits_db)} dB over the mean in {weak.named} and "
        f"{number(other.hits_db)} dB in {other.named}: {number(abs(apart_db))} dB less than the step between "
        "them explains.",
        sure=between(abs(apart_db), LEAST_ATTACK_DB, 2.0, 0.6, 0.9),
    )


def _stand(pair: Pair) -> str:
    return f"{number(abs(pair.step_lu))} LU {'over' if pair.step_lu >= 0.0 else 'under'} {pair.other.named}"


def _louder(level_db: float) -> str:
    if abs(level_db) < 0.05:
        return "no louder"
    return f"{number(abs(level_db))} dB {'louder' if level_db > 0.0 else 'quieter'}"
