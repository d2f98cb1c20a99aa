"""What a join would do, before a second pass is made: its seam with a usual one, and where else it might lie.

The usual second pass turns the mix by one to two decibels, here and there: as two passes differ. Its seam is
that of `measure.seam` and of the join's own report: excitation above and below both passes, level half-way,
and the octave in which phases that differ cancel.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from arsis.audio import Block, Span
from arsis.measure.seam import REACH_MS, Seam, seam
from arsis.process import apply
from arsis.settings import Bell, Gain, HighShelf
from arsis.structure.crossing import AFTER_S, BEFORE_S, Crossing, crossings
from arsis.structure.joins import CONTEXT_MS, LEAD_MS, attack_foot
from arsis.units import ms_to_frames, seconds_to_frames

from .join_report import JoinReport, look_at_join
from .joins import correlation, fade_gains

USUAL = (
    Gain(gain_db=0.7),
    Bell(freq_hz=50.0, gain_db=1.5, q=2.0),
    Bell(freq_hz=300.0, gain_db=-1.0),
    HighShelf(freq_hz=8_000.0, gain_db=1.0),
)
SETTLE_S = 0.4  # of sound before what is looked at: every processor above has settled by then
APART_S = 0.06  # nearer to the first place than this is the same attack
PULSELESS_S = 0.5  # how far away a second place is looked for where there is no beat
BETTER_DB = 0.05  # less is no difference: then the nearer place is taken
WINDOW_MS = 60.0  # of sound either side of a fade in which its seam is read


@dataclass(frozen=True, slots=True)
class SecondPlace:
    """Another attack at which the section might be entered, with the same fade."""

    at_s: float
    bump_db: float
    dip_db: float


@dataclass(frozen=True, slots=True)
class JoinAhead:
    """bump_db, dip_db: above and below both passes, any critical band. middle_db: level half-way. low_dip_db,
    low_dip_freq_hz: of the octave that is lowest half-way. crosses: what sounds on over the start."""

    bump_db: float
    dip_db: float
    middle_db: float
    low_dip_db: float
    low_dip_freq_hz: float
    crosses: tuple[Crossing, ...]
    second: SecondPlace | None


class Listener:
    """Looks at joins of one mix. read: (start, frames) -> the sound there; beat_s: None without a beat."""

    def __init__(
        self, read: Callable[[int, int], Block], frames: int, rate_hz: int, beat_s: float | None
    ) -> None:
        self._read, self._frames, self._rate_hz = read, frames, rate_hz
        self._beat_s = beat_s or PULSELESS_S

    def look(self, at_s: float, fade_ms: float, lead_ms: float = LEAD_MS) -> JoinAhead | None:
        """The join into a section that starts at `at_s`; None where an end of the song is too near."""
        rate_hz, start = self._rate_hz, seconds_to_frames(at_s, self._rate_hz)
        more_s = SETTLE_S + (fade_ms + abs(lead_ms)) / 1_000.0
        first = max(0, start - seconds_to_frames(max(BEFORE_S, self._beat_s) + more_s, rate_hz))
        last = min(self._frames, start + seconds_to_frames(max(AFTER_S, self._beat_s) + more_s, rate_hz))
        if first >= last:
            return None
        place = _Place(self._read(first, last - first), rate_hz, fade_ms, lead_ms)
        if not place.holds(start - first):
            return None
        own = place.seam(start - first)
        middle = place.report(start - first)
        near = slice(max(0, start - first - seconds_to_frames(BEFORE_S, rate_hz)), None)
        crosses = crossings(place.mix[:, near], rate_hz, start - first - near.start)
        second = self._second(place, start - first, crosses)
        return JoinAhead(
            own.bump_db,
            own.dip_db,
            middle.middle_db,
            middle.dip_db,
            middle.dip_freq_hz,
            crosses,
            None
            if second is None
            else SecondPlace((first + second[0]) / rate_hz, second[1].bump_db, second[1].dip_db),
        )

    def _second(self, place: _Place, start: int, crosses: tuple[Crossing, ...]) -> tuple[int, Seam] | None:
        """Of the attacks a beat or half a beat away, and that of a pick-up, the one with the least seam."""
        away_s = [one.since_s for one in crosses if one.kind == "pick_up" and one.since_s is not None]
        away_s += [self._beat_s / 2.0, self._beat_s, -self._beat_s]
        found: list[tuple[float, float, int, Seam]] = []
        for offset_s in away_s:
            frame = place.attack(start - round(offset_s * self._rate_hz))
            if frame is not None and abs(frame - start) > APART_S * self._rate_hz and place.holds(frame):
                made = place.seam(frame)
                worst = round(max(made.bump_db, made.dip_db) / BETTER_DB) * BETTER_DB
                found.append((worst, abs(offset_s), frame, made))
        return min(found, key=lambda one: one[:2])[2:] if found else None


class _Place:
    """The sound round a join, with the usual second pass of it."""

    def __init__(self, mix: Block, rate_hz: int, fade_ms: float, lead_ms: float) -> None:
        self.mix, self._rate_hz = mix, rate_hz
        self._fade, self._lead = ms_to_frames(fade_ms, rate_hz), ms_to_frames(lead_ms, rate_hz)
        self._other = mix
        for settings in USUAL:
            self._other = apply(settings, self._other, rate_hz)

    def attack(self, near: int) -> int | None:
        """The frame at which the attack near a frame begins; None where nothing is struck."""
        context = ms_to_frames(CONTEXT_MS, self._rate_hz)
        first = max(near - context, 0)
        foot = attack_foot(self.mix[:, first : near + context], self._rate_hz, near - first)
        return first + foot.frame if foot.strength else None

    def holds(self, start: int) -> bool:
        window = self._window(start, REACH_MS)
        return window.start > 0 and window.end < self.mix.shape[1]

    def seam(self, start: int) -> Seam:
        span, fade = self._window(start, WINDOW_MS), self._span(start)
        before, after = self._cut(span)
        leaves, comes = fade_gains(fade.frames, correlation(*self._cut(self._window(start, REACH_MS))))
        at = slice(fade.start - span.start, fade.end - span.start)
        faded = before[:, at] * leaves + after[:, at] * comes
        made = np.concatenate([before[:, : at.start], faded, after[:, at.stop :]], axis=1)
        return seam(made, before, after, self._rate_hz)

    def report(self, start: int) -> JoinReport:
        window = self._window(start, REACH_MS)
        before, after = self._cut(window)
        rho = correlation(before, after)
        return look_at_join("", self._span(start), window, before, after, rho, self._rate_hz)

    def _span(self, start: int) -> Span:
        end = max(start - self._lead, 0)
        return Span(max(end - self._fade, 0), end)

    def _window(self, start: int, reach_ms: float) -> Span:
        fade = self._span(start)
        reach, middle = ms_to_frames(reach_ms, self._rate_hz) + fade.frames // 2, (fade.start + fade.end) // 2
        return Span(middle - reach, middle + reach).clip(0, self.mix.shape[1])

    def _cut(self, span: Span) -> tuple[Block, Block]:
        return self.mix[:, span.start : span.end], self._other[:, span.start : span.end]
