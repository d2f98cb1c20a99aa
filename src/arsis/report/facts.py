"""Numbers to sentences: what must be seen about a print, in a colleague's words."""

from __future__ import annotations

import math
from collections.abc import Sequence

from arsis.plan.model import Song
from arsis.render.ear import LEAST_STEP_DB, MOST_OF_A_STEP, SectionTook
from arsis.render.join_report import ALIKE, JoinReport
from arsis.render.took import Took
from arsis.render.version import Guarded

from .text import change, clock, most_taken, number

# Sections named in one warning; the contour has them all.
_NAMED = 8


def print_warnings(
    song: Song,
    sections: Sequence[SectionTook],
    whole: Took,
    asked_db: Sequence[float | None],
    joins: Sequence[JoinReport],
    true_peak_dbtp: float,
) -> tuple[str, ...]:
    """Everything about a print that must be seen, worst first."""
    names = [section.name for section in song.section]
    found = [*_most(song, whole, names, sections), *_steps(names, sections, asked_db), *_joins(joins)]
    return (*found, *(_unheld(true_peak_dbtp) if song.finish.limiter is None else ()))


def version_warnings(name: str, guarded: Guarded, true_peak_dbtp: float) -> tuple[str, ...]:
    """What must be seen about a version that followed."""
    if guarded.max_db > 0.0:
        return (
            f"under the main version's gain the {name} passes the ceiling: a limiter of its own takes "
            f"{most_taken(guarded.max_db)} (at {clock(guarded.max_at_s)}), where the versions do not sum "
            "(share_limiter in the finish lets one limiter hear both)",
        )
    return tuple(_unheld(true_peak_dbtp))


def _unheld(true_peak_dbtp: float) -> list[str]:
    if not math.isfinite(true_peak_dbtp) or true_peak_dbtp <= 0.0:
        return []
    peak = f"true peak {number(true_peak_dbtp)} dBTP"
    return [f"{peak} is over full scale and the finish has no limiter: in whole words it is cut off"]


def _most(song: Song, whole: Took, names: list[str], sections: Sequence[SectionTook]) -> list[str]:
    limiter = song.finish.limiter
    if limiter is None or whole.max_db <= limiter.most_db:
        return []
    over = [(took.max_db, name) for name, took in zip(names, sections, strict=True)]
    over = sorted((one for one in over if one[0] > limiter.most_db), key=lambda one: -one[0])
    named = [f"{name} {number(max_db)} dB" for max_db, name in over[:_NAMED]]
    more = [f"and {len(over) - _NAMED} more"] if len(over) > _NAMED else []
    excess_db = whole.max_db - limiter.most_db
    excess = number(excess_db, 1 if excess_db >= 0.05 else 3)
    return [
        f"the limiter takes up to {number(whole.max_db)} dB (at {clock(whole.max_at_s)}), "
        f"{excess} dB past its most_db of {number(limiter.most_db)}: " + ", ".join([*named, *more])
    ]


def _steps(names: list[str], sections: Sequence[SectionTook], asked_db: Sequence[float | None]) -> list[str]:
    return [
        f"{name}: of the {change(asked)} dB asked into it the limiter takes {number(took.step_db, 2)} LU"
        for name, took, asked in zip(names, sections, asked_db, strict=True)
        if asked is not None
        and took.step_db is not None
        and asked >= LEAST_STEP_DB
        and took.step_db > MOST_OF_A_STEP * asked
    ]


def _joins(joins: Sequence[JoinReport]) -> list[str]:
    return [f"the join into {join.into}: {said}" for join in joins if (said := _unlike(join) or _dip(join))]


def _unlike(join: JoinReport) -> str:
    if join.alike:
        return ""
    return (
        f"the two passes are not alike there (correlation {number(join.correlation, 2)}, {ALIKE} and more is "
        "usual): is one late, or turned over?"
    )


def _dip(join: JoinReport) -> str:
    if not join.deep:
        return ""
    place = (
        f"; {number(join.earlier_ms, 0)} ms earlier there is {number(join.quieter_db)} dB less of it"
        if join.quieter_db >= 3.0
        else ""
    )
    return (
        f"half-way it dips {number(-join.dip_db)} dB at {join.dip_freq_hz:g} Hz, where the passes turn the "
        f"phase differently{place}"
    )
