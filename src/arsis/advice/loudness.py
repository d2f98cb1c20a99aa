"""Loudness with a conscience: how far a song's level goes before its limiter costs what nobody asked for.

How it is found, and where the limits come from: docs/loudness-limits.md.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from arsis.errors import ArsisError
from arsis.measure.loudness import ABSOLUTE_GATE_LUFS
from arsis.render.progress import Progress, unseen
from arsis.render.source import Source
from arsis.report.text import number

from .loudness_judge import Limit, LoudnessRow
from .loudness_search import MET_LU, LoudnessSearch


@dataclass(frozen=True, slots=True)
class LoudnessAdvice:
    """How far the level goes.

    wanted_lufs: None for as loud as the limits let it be. most_db: the plan's; None without a limiter.
    present_…: as the plan is. gain_db: for the finish, and integrated_lufs what the print has then; None
    where nothing can be said. reached: it has the loudness that is wanted. stopped_by, stopped_in: else the
    limit that is met first, and the section. rows: gains around it and the present one, rising.
    """

    wanted_lufs: float | None
    ceiling_dbtp: float
    most_db: float | None
    present_gain_db: float
    present_lufs: float
    gain_db: float | None
    integrated_lufs: float | None
    reached: bool
    stopped_by: Limit | None
    stopped_in: str | None
    rows: tuple[LoudnessRow, ...]

    @property
    def found(self) -> LoudnessRow | None:
        """The row of the gain."""
        return next((row for row in self.rows if row.gain_db == self.gain_db), None)

    @property
    def present(self) -> LoudnessRow | None:
        """The row of the plan as it is."""
        return next((row for row in self.rows if row.gain_db == self.present_gain_db), None)


def advise_loudness(
    source: Source, wanted_lufs: float | None = None, progress: Progress = unseen
) -> LoudnessAdvice:
    """The gain into the limiter that reaches a loudness within the limits, or the most that they allow.

    Raises ArsisError for a loudness that no sound has.
    """
    if wanted_lufs is not None and not ABSOLUTE_GATE_LUFS < wanted_lufs < 0.0:
        allowed = f"over {number(ABSOLUTE_GATE_LUFS, 0)} and under 0"
        raise ArsisError(f"{wanted_lufs:g} LUFS is no loudness to want; allowed: {allowed}")
    search = LoudnessSearch(source, wanted_lufs, progress)
    present, judge = search.present, search.judge
    goal = search.find() if math.isfinite(present.integrated_lufs) else None
    row = search.rows[goal.gain_db] if goal is not None else None
    rows = search.table(goal.gain_db) if goal is not None else ()
    limit = goal.limit if goal is not None else None
    passed = (one for one in rows if row is not None and one.gain_db > row.gain_db and limit in one.broken)
    first = next(passed, None)
    return LoudnessAdvice(
        wanted_lufs=wanted_lufs,
        ceiling_dbtp=judge.ceiling_dbtp,
        most_db=judge.most_db,
        present_gain_db=present.gain_db,
        present_lufs=present.integrated_lufs,
        gain_db=row.gain_db if row is not None else None,
        integrated_lufs=row.integrated_lufs if row is not None else None,
        reached=row is not None
        and wanted_lufs is not None
        and abs(row.integrated_lufs - wanted_lufs) <= MET_LU,
        stopped_by=limit,
        stopped_in=first.place(limit) if first is not None and limit is not None else None,
        rows=rows,
    )
