"""A grid that is half a bar or an octave of tempo off: put right at once, every section's start with it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray

from .features import FRAME_S, PITCH_S, SIDE_S, Features
from .find import Structure
from .running import Array, means_between, power_db

Places: TypeAlias = NDArray[np.int_]
Nudge: TypeAlias = Literal["half-bar", "double", "half"]

ON_GRID_S = 0.08  # a start so near a down-beat is on it: played strokes and feet of attacks lie within
MOST = 2 / 3  # of the starts half a bar beside the down-beats: then it is the down-beats that are off
CLEARLY = 1.6  # so many times as much speaks for another place than that which is usual, or was kept
PHRASE = 4  # bars: the chords of one come again in the next, within a section
SLOTS, SAME_CHORDS = 4, 0.1  # into which the chords of a bar are cut; two bars of one chord differ by so much


@dataclass(frozen=True, slots=True)
class Grid:
    """tempo_bpm: of the beats. down: indices of the down-beats among beats_s."""

    tempo_bpm: float
    beats_s: Array
    down: Places
    metre: int

    @property
    def downbeats_s(self) -> Array:
        return np.asarray(self.beats_s[self.down])


def grid_of(found: Structure) -> Grid | None:
    """The bars of a song; None where it has no steady beat."""
    if found.tempo_bpm is None or len(found.downbeats_s) < 2:
        return None
    beats = np.array(found.beats_s)
    down = np.searchsorted(beats, np.array(found.downbeats_s) - 1e-6)
    return Grid(found.tempo_bpm, beats, down, round(float(np.median(np.diff(down)))))


def nudged_grid(grid: Grid, how: Nudge, starts_s: Sequence[float] = ()) -> Grid:
    """half-bar: down-beats half a bar later. double, half: the tempo; of half, the down-beats that the starts
    prefer."""
    beats, down, metre = grid.beats_s, grid.down, grid.metre
    if how == "half-bar":
        half = max(metre // 2, 1)
        return Grid(grid.tempo_bpm, beats, _within(np.append(down[0] - metre, down) + half, beats), metre)
    if how == "double":
        fine = np.interp(np.arange(2 * len(beats) - 1) / 2.0, np.arange(len(beats)), beats)
        return Grid(
            2.0 * grid.tempo_bpm, fine, _within(np.sort(np.append(2 * down, 2 * down + metre)), fine), metre
        )
    votes = [_on(grid.downbeats_s[phase::2], starts_s).sum() for phase in (0, 1)]
    kept = down[int(np.argmax(votes)) :: 2]
    return Grid(grid.tempo_bpm / 2.0, beats[kept[0] % 2 :: 2], kept // 2, metre)


def followed(grid: Grid, starts_s: Sequence[float]) -> Grid:
    """The grid as the sections of a plan say it lies: half a bar later where most of them start there."""
    later = nudged_grid(grid, "half-bar")
    inner = starts_s[1:]
    beside = _on(later.downbeats_s, inner) & ~_on(grid.downbeats_s, inner)
    return later if len(inner) > 1 and beside.mean() >= MOST else grid


def nudged_starts(features: Features, grid: Grid, starts_s: Sequence[float], how: Nudge) -> list[float]:
    """Each start after the first on a down-beat of the nudged grid: before or after, where more changes and
    where the bar between them belongs to.

    All go the same way, that which all together speak for, but for those that clearly speak against it.
    A start on a down-beat stays, unless there are twice as many now and one beside it is clearly better.
    """
    down, bar_s = grid.downbeats_s, float(np.median(np.diff(grid.downbeats_s)))
    changes = _Changes(features, bar_s)
    fits = _Fits(features, down)
    on = [bool(at) for at in _on(down, starts_s)]
    beside = [_beside(down, start_s, ON_GRID_S) for start_s in starts_s]

    def speaks(before_s: float, after_s: float) -> float:
        return changes.later(before_s, after_s) + fits.before(before_s)

    votes = [speaks(*ways) for ways, stays in zip(beside, on, strict=True) if ways and not stays]
    usual = sum(votes) > 0.0
    moved = [starts_s[0]]
    for start_s, ways, stays in list(zip(starts_s, beside, on, strict=True))[1:]:
        if ways is None or (stays and how != "double"):
            moved.append(start_s)
        elif stays:
            gains = (-speaks(ways[0], start_s), speaks(start_s, ways[1]))
            moved.append(ways[int(np.argmax(gains))] if max(gains) > np.log(CLEARLY) else start_s)
        else:
            later = speaks(*ways)
            moved.append(ways[later > 0.0 if abs(later) > np.log(CLEARLY) else usual])
    return moved


def nearest_downbeat(grid: Grid, time_s: float) -> float:
    """Of the song's down-beats, and those that would follow at the same pace before and after them."""
    down = grid.downbeats_s
    bar_s = float(np.median(np.diff(down)))
    if down[0] <= time_s <= down[-1]:
        return float(down[np.abs(down - time_s).argmin()])
    edge = float(down[0] if time_s < down[0] else down[-1])
    return max(edge + round((time_s - edge) / bar_s) * bar_s, 0.0)


def _within(places: Places, beats: Array) -> Places:
    return np.asarray(places[(places >= 0) & (places < len(beats))])


def _on(down: Array, starts_s: Sequence[float]) -> NDArray[np.bool_]:
    return np.array([np.abs(down - start).min() <= ON_GRID_S for start in starts_s], bool)


def _beside(down: Array, start_s: float, apart_s: float) -> tuple[float, float] | None:
    """The down-beats before and after a start; None where one of them is not there."""
    before, after = down[down < start_s - apart_s], down[down > start_s + apart_s]
    return (float(before[-1]), float(after[0])) if len(before) and len(after) else None


class _Changes:
    """How far the sound after a time is from that before it: spectrum of the mid and bands of the sides, over
    half a bar and a whole one. Longer stretches see a stop before the section rather than its start."""

    def __init__(self, features: Features, bar_s: float) -> None:
        self._bar_s = bar_s
        self._mid = power_db(features.mel, 1e-7 * float(features.mel.max()) + 1e-20)
        self._side = power_db(features.side_bands, 1e-7 * float(features.bands.max()) + 1e-20)

    def at(self, time_s: float) -> float:
        """Mean over bands, dB."""
        rows = ((self._mid, FRAME_S), (self._side, SIDE_S))
        spans = (self._bar_s / 2.0, self._bar_s)
        return (
            sum(_step_db(levels, step_s, time_s, span_s) for levels, step_s in rows for span_s in spans)
            + 1e-9
        )

    def later(self, before_s: float, after_s: float) -> float:
        """How much more changes at the later of two times: logarithm of the ratio."""
        return float(np.log(self.at(after_s) / self.at(before_s)))


def _step_db(levels: Array, step_s: float, at_s: float, span_s: float) -> float:
    edges = np.array([max(at_s - span_s, 0.0), at_s, at_s + span_s])
    before, after = means_between(levels, step_s, edges)
    return float(np.abs(after - before).mean())


class _Fits:
    """To which side a bar belongs, by its chords: to what comes a phrase before it, or a phrase after."""

    def __init__(self, features: Features, down: Array) -> None:
        self._down = down
        edges = np.interp(np.arange((len(down) - 1) * SLOTS + 1) / SLOTS, np.arange(len(down)), down)
        chords = means_between(features.pitch, PITCH_S, edges).reshape(len(down) - 1, -1)
        chords -= chords.mean(axis=0)
        self._chords = chords / (np.linalg.norm(chords, axis=1, keepdims=True) + 1e-9)

    def before(self, start_s: float) -> float:
        """How much liker the bar from there is to that before than to that after: logarithm of the ratio."""
        bar = int(np.abs(self._down - start_s).argmin())
        if not PHRASE <= bar < len(self._chords) - PHRASE:
            return 0.0
        before, after = (1.0 - self._chords[bar] @ self._chords[bar + at] for at in (-PHRASE, PHRASE))
        return float(np.log((after + SAME_CHORDS) / (before + SAME_CHORDS)))
