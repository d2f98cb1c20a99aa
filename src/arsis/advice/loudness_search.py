"""The search for a gain: a few heard at once, then those around the likely one, until they agree."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

from arsis.render.progress import Progress
from arsis.render.schedule import schedule
from arsis.render.source import Source

from .loudness_judge import Judge, Limit, LoudnessRow
from .loudness_soundings import AskedEar, LimiterEar, listen

# The table: so many steps of so much, below and past what was found.
ROW_STEP_DB, ROWS_BELOW, ROWS_PAST = 0.5, 2, 3
# Gains that are heard first, from where the limiter rests to where it takes its most.
COARSE = 3
# A level that is wanted is met to so much; a limit is met from below, in tenths of a dB.
MET_LU, TENTH_DB = 0.02, 0.1
ROUNDS = 6
# So far below the ceiling the limiter rests: its margins (process/limiting.py), and some.
REST_DB = 0.05
LEAST_GAIN_DB, MOST_GAIN_DB = -24.0, 24.0  # plan/model.py, Finish.gain_db


@dataclass(frozen=True, slots=True)
class Goal:
    """Where a search stands. limit: what stops it there; None where the loudness that is wanted is met."""

    gain_db: float
    limit: Limit | None = None


class LoudnessSearch:
    """One search over one song. rows: by their gain, of all that was heard."""

    def __init__(self, source: Source, wanted_lufs: float | None, progress: Progress) -> None:
        info, present_db = source.mix.info, source.song.finish.gain_db
        self._source, self._wanted_lufs, self._progress = source, wanted_lufs, progress
        self._plan = schedule(source.song, info.rate_hz, info.frames)
        first, ears = AskedEar(info.rate_hz, info.channels), self._ears([present_db])
        listen(source, self._plan, [first, *ears], progress)
        self.judge = Judge(source, self._plan, first.asked())
        self.rows: dict[float, LoudnessRow] = {}
        self._keep([present_db], ears)
        self.present = self.rows[present_db]
        self._down = wanted_lufs is not None and wanted_lufs < self.present.integrated_lufs - MET_LU

    @property
    def _rest_db(self) -> float:
        """The gain up to which the limiter rests."""
        return _tenth(self.judge.ceiling_dbtp - self.judge.asked.heard_dbtp - REST_DB)

    def find(self) -> Goal:
        """The gain, once its row and those around it are heard and agree with it."""
        self._hear(self._coarse_db())
        goal = self._goal()
        for _ in range(ROUNDS):
            self._hear(self._around_db(goal.gain_db))
            better = self._goal()
            if self._settled(goal, better):
                return goal
            goal = better
        self._hear(self._around_db(goal.gain_db))
        return goal

    def table(self, gain_db: float) -> tuple[LoudnessRow, ...]:
        """The rows around a gain, and the present one."""
        gains = {*self._around_db(gain_db), self.present.gain_db}
        return tuple(self.rows[gain] for gain in sorted(gains))

    def _ears(self, gains_db: Sequence[float]) -> list[LimiterEar]:
        info, limiter = self._source.mix.info, self._source.song.finish.limiter
        own = info.channels
        channels = own * (1 + len(self._source.followers))
        if limiter is None:
            return []
        return [LimiterEar(limiter, gain_db, info.rate_hz, channels, own) for gain_db in gains_db]

    def _keep(self, gains_db: Sequence[float], ears: Sequence[LimiterEar]) -> None:
        """Their rows; `ears` is empty without a limiter."""
        heard = {gain_db: ear.sounding() for gain_db, ear in zip(gains_db, ears, strict=bool(ears))}
        self.rows |= {gain_db: self.judge.row(gain_db, heard.get(gain_db)) for gain_db in gains_db}

    def _hear(self, gains_db: Sequence[float]) -> None:
        """Rows for all gains that have none yet, in one render; none without a limiter."""
        new = sorted(set(gains_db) - set(self.rows))
        ears = self._ears(new)
        if ears:
            listen(self._source, self._plan, ears, self._progress)
        self._keep(new, ears)

    def _coarse_db(self) -> list[float]:
        """From where the limiter rests to where the search will have ended; none where it will rest."""
        loose_db = self._loose_db
        if self.judge.most_db is None or (loose_db is not None and loose_db <= self._rest_db):
            return []
        most_db = self._rest_db + REST_DB + self.judge.most_db + 2.0 * TENTH_DB
        top_db = self.present.gain_db if self._down else most_db
        part_db = (top_db - self._rest_db) / COARSE
        return _possible(self._rest_db + part_db * k for k in range(1, COARSE + 1))

    def _around_db(self, gain_db: float) -> list[float]:
        steps = (*range(-ROWS_BELOW, 0), *range(1, ROWS_PAST + 1))
        return [gain_db, *_possible(gain_db + ROW_STEP_DB * step for step in steps)]

    def _goal(self) -> Goal:
        """What the rows so far say."""
        rows = self._known()
        met_db = self._met_db(rows)
        if self._down and met_db is not None:
            return Goal(met_db) if met_db >= LEAST_GAIN_DB else Goal(LEAST_GAIN_DB, "gain")
        stop_db, stop = self._stop(rows)
        if met_db is not None and met_db <= stop_db:
            return Goal(met_db)
        return stop

    def _known(self) -> list[LoudnessRow]:
        """What was heard, and what needs no hearing, rising in gain."""
        lowest_broken_db = min((gain for gain, row in self.rows.items() if row.broken), default=math.inf)
        rests = [self._rest_db, self._rest_db - 1.0] if self.judge.most_db is not None else []
        unheard = {db: self.judge.row(db) for db in rests if db < lowest_broken_db}
        return sorted({**unheard, **self.rows}.values(), key=lambda row: row.gain_db)

    @cached_property
    def _loose_db(self) -> float | None:
        """The gain that would meet the loudness that is wanted, were there no limiter."""
        if self._wanted_lufs is None:
            return None
        gain_db = self.present.gain_db
        for _ in range(3):  # the absolute gate makes it a little less than straight
            lufs = self.judge.lufs(gain_db)
            if math.isfinite(lufs):
                gain_db += self._wanted_lufs - lufs
        return gain_db

    def _met_db(self, rows: Sequence[LoudnessRow]) -> float | None:
        """The gain that meets the loudness that is wanted, as far as is known."""
        wanted, loose_db = self._wanted_lufs, self._loose_db
        if wanted is None or loose_db is None:
            return None
        if abs(wanted - self.present.integrated_lufs) <= MET_LU:
            return self.present.gain_db
        if self.judge.most_db is None or loose_db <= self._rest_db:
            return round(loose_db, 2)
        for low, high in pairwise(rows):
            if low.integrated_lufs < wanted <= high.integrated_lufs:
                share = (wanted - low.integrated_lufs) / (high.integrated_lufs - low.integrated_lufs)
                return round(low.gain_db + share * (high.gain_db - low.gain_db), 2)
        return None

    def _stop(self, rows: Sequence[LoudnessRow]) -> tuple[float, Goal]:
        """Where the first limit is met: as near as is known, and as a gain to be set."""
        if self.judge.most_db is None:
            most_db = self.judge.ceiling_dbtp - self.judge.asked.peak_dbtp
            return min((most_db, Goal(math.floor(100.0 * most_db) / 100.0, "ceiling")), _PLAN_STOP, key=_gain)
        over = next((i for i, row in enumerate(rows) if row.broken), None)
        if over is None:
            return _PLAN_STOP
        high = rows[over]
        if not over:
            return high.gain_db, Goal(max(high.gain_db - ROW_STEP_DB, LEAST_GAIN_DB), high.broken[0])
        low = rows[over - 1]
        room, passed = self.judge.over(low), self.judge.over(high)
        met_db, limit = min(
            (low.gain_db + (high.gain_db - low.gain_db) * room[limit] / (room[limit] - passed[limit]), limit)
            for limit in high.broken
        )
        tenth_db = _tenth(met_db)
        gain_db = tenth_db if tenth_db < high.gain_db else high.gain_db - TENTH_DB
        return min((met_db, Goal(max(round(gain_db, 2), low.gain_db), limit)), _PLAN_STOP, key=_gain)

    def _settled(self, goal: Goal, better: Goal) -> bool:
        row = self.rows[goal.gain_db]
        if goal.limit is None:
            met = self._wanted_lufs is not None and abs(row.integrated_lufs - self._wanted_lufs) <= MET_LU
            return met and (self._down or row.within)
        if self._down or better == goal:
            return True
        further_db = better.gain_db - goal.gain_db
        return row.within and better.limit is not None and 0.0 <= further_db < 1.5 * TENTH_DB


_PLAN_STOP = (MOST_GAIN_DB, Goal(MOST_GAIN_DB, "gain"))


def _gain(stop: tuple[float, Goal]) -> float:
    return stop[0]


def _possible(gains_db: Iterable[float]) -> list[float]:
    """Gains that a plan may have, as they are written."""
    return [round(db, 2) for db in gains_db if LEAST_GAIN_DB <= db <= MOST_GAIN_DB]


def _tenth(gain_db: float) -> float:
    """The tenth of a dB at or below."""
    return round(math.floor(gain_db / TENTH_DB + 1e-6) * TENTH_DB, 1)
