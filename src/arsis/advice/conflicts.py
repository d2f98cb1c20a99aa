"""Where one move stands in another's way, or in the limiter's."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from arsis.plan.model import Song
from arsis.report.text import change, number

from .evidence import Evidence
from .predict import Predicted

OF_NOTE_LU = 0.2  # a step that another move changes by less is left unsaid
NEAR = 2.0  # two moves of tone within an octave add up where they meet


def conflicts(
    song: Song, evidence: Sequence[Evidence], told: Sequence[Predicted]
) -> tuple[tuple[str, ...], ...]:
    """For each piece of evidence, what its move is in conflict with."""
    return tuple(
        (*_with_the_limiter(song, told[i]), *_with_others(i, evidence, told)) for i in range(len(evidence))
    )


def _with_the_limiter(song: Song, one: Predicted) -> Iterator[str]:
    limiter = song.finish.limiter
    if limiter is not None and one.took_max_db > limiter.most_db and one.costs_took_db > 0.0:
        yield (
            f"the limiter would take up to {number(one.took_max_db)} dB, past its most_db of "
            f"{number(limiter.most_db)}"
        )


def _with_others(i: int, evidence: Sequence[Evidence], told: Sequence[Predicted]) -> Iterator[str]:
    mine = evidence[i]
    for other, outcome in zip(evidence, told, strict=True):
        if other is mine:
            continue
        if mine.what == "step":
            yield from _moves_the_step(mine, other, outcome)
        elif _adds_up(mine, other):
            yield f"{other.id} works within an octave of it: take one, listen, ask again"


def _moves_the_step(mine: Evidence, other: Evidence, outcome: Predicted) -> Iterator[str]:
    changes = [
        section.then.step_lu - section.now.step_lu
        for section in outcome.sections
        if section.name in mine.sections
        and section.then.step_lu is not None
        and section.now.step_lu is not None
    ]
    most = max(changes, key=abs, default=0.0)
    if abs(most) >= OF_NOTE_LU:
        yield f"{other.id} alone changes this step by {change(most)} LU: take one, listen, ask again"


def _adds_up(mine: Evidence, other: Evidence) -> bool:
    if mine.kind != other.kind or mine.freq_hz is None or other.freq_hz is None:
        return False
    low, high = sorted((mine.freq_hz, other.freq_hz))
    return high / low <= NEAR
