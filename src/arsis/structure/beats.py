"""Beats, in two ways: one exact period for a song made to a click, else a path of beats along one of tempi.

The exact grid bridges passages without drums and cannot slip by half a beat, so it is tried first and
kept only where the onsets stay in phase with it. The other is Ellis, Beat Tracking by Dynamic
Programming (2007), eq. 5 to 7, with a period that may change.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .features import FRAME_S
from .onsets import Onsets
from .running import Array, running_max
from .tempo import tempo_path, tempogram

Frames = NDArray[np.int_]

SNAP = round(0.03 / FRAME_S)  # an onset this near a grid line is the beat
STRETCH = int(10.0 / FRAME_S)  # phase is judged over stretches this long
LOCKED = 0.82  # mean resultant of the stretches' phases above which the song is on one grid, tuned
KEPT = 0.8  # of what the best period nearby collects in each stretch; less means the tempo changes, tuned
LEFT = 0.5  # a stretch that keeps less than this of what the best period nearby collects has another tempo
NEARBY = 1.2  # ratio of periods
DETUNED = 1.0371  # a grid that is wrong for certain
CONTRAST = 1.15  # by how much the grid must collect more than the wrong one
# Beats that may slow down, by how much the last of them at least, and what the square of a change costs.
ENDING, SLOWER, STEADY = 16, 1.1, 200.0
TIGHTNESS = 300.0  # of the beats to the tempo path; Ellis's alpha for a curve of unit deviation


@dataclass(frozen=True, slots=True)
class Beats:
    """frames: index into the onset curve of every beat. rigid: on one exact period."""

    frames: Frames
    rigid: bool

    def times_s(self, onsets: Onsets) -> Array:
        """Seconds, refined within the frame by a parabola through the onset curve."""
        curve = onsets.curve
        at = np.clip(self.frames, 1, len(curve) - 2)
        before, here, after = curve[at - 1], curve[at], curve[at + 1]
        bend = before - 2.0 * here + after
        shift = np.where(bend < -1e-9, 0.5 * (before - after) / np.minimum(bend, -1e-9), 0.0)
        return np.asarray((self.frames + np.clip(shift, -0.5, 0.5)) * FRAME_S)


def find_beats(onsets: Onsets) -> Beats:
    """The beats of a song that has at least a dozen seconds and some onsets."""
    gram = tempogram(onsets)
    spectra = _Spectra.of(onsets.curve)
    best: tuple[float, Frames] | None = None
    for period, strength in gram.candidates():
        grid = _grid(onsets.curve, _exact_period(spectra, period), spectra)
        if grid is not None and (best is None or strength * grid.contrast > best[0]):
            best = (strength * grid.contrast, grid.frames)
    if best is not None:
        return Beats(_slowed(onsets.curve, _snap(onsets.curve, best[1])), rigid=True)
    periods = tempo_path(gram, len(onsets.curve))
    return Beats(_slowed(onsets.curve, follow(onsets.curve, periods)), rigid=False)


@dataclass(frozen=True, slots=True)
class _Grid:
    frames: Frames
    contrast: float  # what it collects over what the detuned grid does, less one


@dataclass(frozen=True, slots=True)
class _Spectra:
    """Of the onset curve, the same for every period that is tried.

    minutes: of blocks of about a minute, the size of the transform and the powers. stretches: where those
    begin in which the phase is judged; sizes (stretches, bins): their magnitudes, by transforms of `size`.
    """

    minutes: tuple[tuple[int, Array], ...]
    starts: Frames
    size: int
    sizes: Array

    @classmethod
    def of(cls, curve: Array) -> _Spectra:
        centred = curve - curve.mean()
        minutes = []
        for block in np.array_split(centred, max(1, round(len(curve) * FRAME_S / 60.0))):
            size = 1 << (len(block) * 8 - 1).bit_length()
            minutes.append((size, np.abs(np.fft.rfft(block, size)) ** 2))
        starts = np.arange(0, max(len(curve) - STRETCH // 2, 1), STRETCH)
        size = 1 << (int(np.diff(starts, append=len(curve)).max()) * 8 - 1).bit_length()
        kept = size // 8 + 1  # up to four periods in a second and more: no beat is as quick
        sizes = [np.abs(np.fft.rfft(part, size)[:kept]) for part in np.split(centred, starts[1:])]
        return cls(tuple(minutes), starts, size, np.array(sizes))


def _exact_period(spectra: _Spectra, period: float) -> float:
    """The period within 3 % at which the onset curve is most coherent, over blocks of a minute."""
    periods = period * np.linspace(0.97, 1.03, 241)
    score = np.zeros(len(periods))
    for size, power in spectra.minutes:
        for multiple, weight in ((1.0, 1.0), (2.0, 0.5), (0.5, 0.5), (0.25, 0.5)):
            score += weight * np.interp(multiple / periods * size, np.arange(len(power)), power)
    return float(periods[int(score.argmax())])


def _grid(curve: Array, period: float, spectra: _Spectra) -> _Grid | None:
    """The grid of one period that collects most, or None where the onsets do not keep to it."""
    turn = np.exp(-4j * np.pi * np.arange(len(curve)) / period)  # twice the beat: blind to half-beat slips
    parts = np.add.reduceat((curve - curve.mean()) * turn, spectra.starts)
    weight = np.abs(parts).sum()
    # The phase of a slightly wrong period drifts along a line: take the line out, then ask for one phase.
    drift = np.linspace(-4.0, 4.0, 201) * np.pi / len(parts)
    lines = np.exp(-1j * np.outer(drift, np.arange(len(parts))))
    locked = np.abs(lines @ parts) / (weight + 1e-12)
    best = int(locked.argmax())
    near = _best_nearby(spectra, period)
    if locked[best] < LOCKED or weight < KEPT * near.sum() or _leaves(np.abs(parts), near):
        return None
    exact = period / (1.0 - drift[best] * period / (4.0 * np.pi * STRETCH))
    loud = running_max(curve, 2)
    frames = _best_phase(loud, exact)
    wrong = _best_phase(loud, exact * DETUNED)
    contrast = loud[frames].mean() / (loud[wrong].mean() + 1e-9)
    return _Grid(frames, float(contrast - 1.0)) if contrast > CONTRAST else None


def _leaves(kept: Array, near: Array) -> bool:
    """Whether the song goes another way for a while: three stretches in a row that have another period."""
    away = (kept < LEFT * near) & (near > 0.5 * np.median(near))
    return len(away) >= 3 and bool((away[:-2] & away[1:-1] & away[2:]).any())


def _best_nearby(spectra: _Spectra, period: float) -> Array:
    """The most that any period nearby would collect in each stretch: more, where the tempo changes."""
    turns = spectra.size * 2.0 / period
    near = np.arange(int(turns / NEARBY), min(int(turns * NEARBY) + 2, spectra.sizes.shape[1]))
    return np.asarray(spectra.sizes[:, near].max(axis=1))


def _best_phase(curve: Array, period: float) -> Frames:
    lines = np.arange(int(len(curve) / period))
    phases = np.arange(0.0, period, 0.5)
    at = np.minimum(np.round(phases[:, None] + lines * period).astype(int), len(curve) - 1)
    return np.asarray(at[int(curve[at].mean(axis=1).argmax())])


def _snap(curve: Array, grid: Frames) -> Frames:
    """Each line of the grid moved to the onset within SNAP frames, where there is one."""
    offsets = np.arange(-SNAP, SNAP + 1)
    around = np.clip(grid[:, None] + offsets, 0, len(curve) - 1)
    value = curve[around] - 0.02 * curve.std() * np.abs(offsets)
    pick = value.argmax(axis=1)
    struck = value.max(axis=1) > 0.5 * curve.std()
    return np.unique(np.where(struck, around[np.arange(len(grid)), pick], grid))


def _slowed(curve: Array, frames: Frames) -> Frames:
    """The same beats, the last ENDING of them followed through a ritardando: each may be longer than the one
    before, at a cost, by dynamic programming over places and lengths."""
    value = curve / (curve.std() + 1e-9)
    struck = np.flatnonzero(value > 1.0)
    first = int(np.searchsorted(frames, struck[-1])) - ENDING if len(struck) else 0
    if first < ENDING:
        return frames
    usual = float(np.median(np.diff(frames[first - ENDING : first + 1])))
    lengths = np.arange(int(0.9 * usual), int(2.0 * usual) + 1)
    ratio = np.log(lengths[:, None] / lengths)
    cost = np.where(
        (ratio < np.log(0.9)) | (ratio > np.log(1.25)), np.inf, STEADY * ratio**2
    )  # [now, before]
    start, count = int(frames[first]), min(int(struck[-1]) + 3, len(curve)) - int(frames[first])
    reach = int(lengths[-1])
    score = np.full((count + reach, len(lengths)), -np.inf)  # `reach` rows before the first
    came = np.zeros((count, len(lengths)), int)
    score[reach] = -STEADY * np.log(lengths / usual) ** 2
    for row in range(1, count, int(lengths[0])):  # none of these rows can be the beat before another
        rows = np.arange(row, min(row + int(lengths[0]), count))
        before = score[reach + rows[:, None] - lengths]  # (rows, now, before)
        options = before - cost
        came[rows] = options.argmax(axis=2)
        score[reach + rows] = options.max(axis=2) + value[start + rows, None] - value.mean()
    ends = score[max(reach + count - int(usual), reach + 1) :]
    row, length = (int(place) for place in np.unravel_index(int(ends.argmax()), ends.shape))
    beat = row + len(score) - len(ends) - reach
    found = []
    while beat > 0:
        found.append(start + beat)
        beat, length = beat - int(lengths[length]), int(came[beat, length])
    if len(found) < 2 or found[0] - found[1] < SLOWER * usual:
        return frames
    after = np.arange(found[0] + usual, len(curve), usual).astype(int)
    return np.concatenate([frames[: first + 1], found[::-1], after]).astype(int)


def follow(curve: Array, periods: Array, tightness: float = TIGHTNESS) -> Frames:
    """Beats along a path of periods (frames), by dynamic programming.

    floor(shortest period / 2) frames are done at a time: none of them can be the beat before another.
    """
    value = curve / (curve.std() + 1e-9)
    block = max(int(periods.min() / 2.0), 1)
    reach = int(2.0 * periods.max()) + 1
    lags = np.arange(reach, block - 1, -1)
    score = np.full(len(curve) + reach, -np.inf)  # `reach` rows before the song
    came = np.full(len(curve), -1)
    earlier = np.lib.stride_tricks.sliding_window_view(score, len(lags))
    for start in range(0, len(curve), block):
        stop = min(start + block, len(curve))
        ratio = lags / periods[start]
        cost = np.where((ratio >= 0.5) & (ratio <= 2.0), tightness * np.log(ratio) ** 2, np.inf)
        before = earlier[start:stop] - cost
        pick = before.argmax(axis=1)
        gain = before[np.arange(stop - start), pick]
        score[reach + start : reach + stop] = value[start:stop] + np.maximum(gain, 0.0)
        came[start:stop] = np.where(gain > 0.0, np.arange(start, stop) - lags[pick], -1)
    tail = max(int(1.5 * periods[-1]), 1)
    beat = max(len(curve) - tail, 0) + int(score[-tail:].argmax())
    found = []
    while beat >= 0:
        found.append(beat)
        beat = int(came[beat])
    return np.array(found[::-1])
