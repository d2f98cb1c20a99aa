"""Metre and downbeats: which beats carry the chord changes, the bass, the kick and the level steps."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from .beats import Beats, find_beats
from .features import FRAME_S, PITCH_S, Features
from .onsets import Onsets
from .running import Array, means_between, power_db, running_max, running_sum, standardised, step_size

Positions = NDArray[np.int_]

METRES = {3: 0.75, 4: 1.0, 5: 0.6, 6: 0.7, 7: 0.5}  # beats in a bar, and how readily each is believed
THREES = 1.5  # how much more must be struck on thirds of two beats than on their half
SLIP = 10.0  # cost of a short bar, in units of evidence
LEVEL_STEP = 1.5  # weight of the song's strongest level steps: sections start on downbeats


@dataclass(frozen=True, slots=True)
class Bars:
    """beats_s: every beat. down: indices of the downbeats among them. metre: beats in a bar.

    evidence (beats,): how much each beat looks like a downbeat.
    """

    beats_s: Array
    down: Positions
    metre: int
    rigid: bool
    evidence: Array

    def looks(self, beats: int) -> float:
        """Mean evidence of the downbeats if they were so many beats later."""
        at = self.down + beats
        return float(self.evidence[at[at < len(self.evidence)]].mean())

    @property
    def downbeats_s(self) -> Array:
        return self.beats_s[self.down]

    def shifted(self, beats: int) -> Bars:
        """All downbeats moved later by so many beats."""
        first = int(self.down[0]) + beats - self.metre
        down = self.down + beats
        if first >= 0:
            down = np.concatenate([[first], down])
        return replace(self, down=down[down < len(self.beats_s)])


def find_bars(features: Features, onsets: Onsets) -> Bars | None:
    """Beats and bars, or None where nothing holds a pulse."""
    beats = find_beats(onsets)
    if len(beats.frames) < 16:
        return None
    times = _in_threes(_on_the_beat(beats, features, onsets), onsets)
    evidence = _evidence(features, onsets, times, reach=2)
    metre = _metre(evidence, times)
    position = _phase(evidence.down, metre)
    down = evidence.down
    if metre == 4 and _is_doubled(down, position, float(np.median(np.diff(times)))):
        keep = _phase(down, 8) % 2 == 0
        times, position, down = times[keep], _phase(down, 8)[keep] // 2, down[keep]
    return Bars(times, np.flatnonzero(position == 0), metre, beats.rigid, down)


@dataclass(frozen=True, slots=True)
class _Evidence:
    down: Array  # (beats,) how much each beat looks like a downbeat
    likeness: Array  # (beats, features) what bars are recognised by


def _edges(times: Array) -> Array:
    return np.append(times, 2.0 * times[-1] - times[-2])


def _unit(rows: Array) -> Array:
    return np.asarray(rows / (np.linalg.norm(rows, axis=-1, keepdims=True) + 1e-9))


def _change(rows: Array, reach: int) -> Array:
    """One less the cosine between the next `reach` rows and the last."""
    sums = running_sum(rows)
    row = np.arange(len(rows))
    ahead = sums[np.minimum(row + reach, len(rows))] - sums[row]
    behind = sums[row] - sums[np.maximum(row - reach, 0)]
    change = 1.0 - (_unit(ahead) * _unit(behind)).sum(axis=1)
    change[0] = change.mean()
    return np.asarray(change)


def _evidence(features: Features, onsets: Onsets, times: Array, reach: int) -> _Evidence:
    edges = _edges(times)
    at = np.clip(np.round(times / FRAME_S).astype(int), 0, len(onsets.flux) - 1)
    flux = running_max(onsets.flux, int(0.05 / FRAME_S))[at]
    pitch = means_between(features.pitch, PITCH_S, edges)
    level = means_between(power_db(features.mel, 1e-8), FRAME_S, edges)
    jump = np.abs(np.diff(level, axis=0, prepend=level[:1])).mean(axis=1)
    kick = np.minimum(flux[:, 0], np.percentile(flux[:, 0], 90))
    # Weights tuned on composed songs.
    down = (
        1.0 * standardised(_change(pitch[:, :12], reach))
        + 0.8 * standardised(_change(pitch[:, 12:], max(reach // 2, 1)))
        + 0.6 * standardised(kick)
        - 0.5 * standardised(flux[:, 1:3].sum(axis=1))
        + 0.5 * standardised(jump)
        + 0.3 * standardised(flux[:, 3])
    )
    down = np.clip(down, -3.0, 4.0) / 2.0 + LEVEL_STEP * _strong_steps(level)
    harmony, bass = (part - part.mean(axis=1, keepdims=True) for part in (pitch[:, :12], pitch[:, 12:]))
    likeness = np.hstack([_unit(harmony), 0.5 * _unit(bass), 0.25 * standardised(flux)])
    return _Evidence(down, likeness - likeness.mean(axis=0))


def _strong_steps(level: Array) -> Array:
    """0 to 1: the strongest level and timbre steps, eight beats against eight."""
    clipped = np.clip(level, np.percentile(level, 2, axis=0), None)
    size = step_size(clipped, 8) * step_size(clipped, 3)
    size = np.where(size >= running_max(size, 3), size, 0.0)
    strong = np.sort(size)[-max(len(size) // 24, 3) :].mean()
    return np.asarray(np.clip(size / (strong + 1e-9) - 0.35, 0.0, 1.0))


def _on_the_beat(beats: Beats, features: Features, onsets: Onsets) -> Array:
    """Beat times, moved to the half beats where chords, bass and kick change there."""
    times = beats.times_s(onsets)
    half = (beats.frames[1:] + beats.frames[:-1]) // 2
    halves = Beats(half, beats.rigid).times_s(onsets)
    both = np.sort(np.concatenate([times, halves]))
    down = _evidence(features, onsets, both, reach=2).down
    return halves if _t(down[1::2], down[0::2]) > 2.5 else times


def _in_threes(times: Array, onsets: Onsets) -> Array:
    """Three beats for every two, where they were two to a bar of three and every second lies on nothing."""
    loud = running_max(onsets.curve, 2)
    for first in (0, 1):
        pairs = times[first::2]
        if len(pairs) < 8:
            break
        inside = pairs[:-1, None] + np.diff(pairs)[:, None] * np.array([1.0 / 3.0, 2.0 / 3.0, 0.5])
        at = np.clip(np.round(inside / FRAME_S).astype(int), 0, len(loud) - 1)
        second, third, half = loud[at].mean(axis=0)
        if 0.5 * (second + third) > THREES * half:
            thirds = pairs[:-1, None] + np.diff(pairs)[:, None] * np.arange(3) / 3.0
            return np.append(thirds.ravel(), pairs[-1])
    return times


def _t(one: Array, other: Array) -> float:
    """Welch's t of the difference of two means."""
    error = np.sqrt(one.var() / len(one) + other.var() / len(other) + 1e-9)
    return float((one.mean() - other.mean()) / error)


def _metre(evidence: _Evidence, times: Array) -> int:
    """Beats in a bar: likeness at that many beats' distance, and contrast of the phases."""
    rows = evidence.likeness
    lags = np.arange(1, min(49, len(rows) // 2))
    curve = np.array([_likeness_at(rows, lag) for lag in lags.tolist()]) / (_likeness_at(rows, 0) + 1e-12)
    padded = np.convolve(np.pad(curve, 4, mode="edge"), np.ones(9) / 9.0, "valid")
    curve = curve - padded
    scores = {}
    for metre, belief in METRES.items():
        whole = lags % metre == 0
        phases = _phase_means(evidence.down, metre)
        contrast = phases.max() - np.median(phases)
        likeness = (curve[whole].mean() - curve[~whole].mean()) / (curve.std() + 1e-9)
        scores[metre] = belief * (likeness + contrast)
    best = max(scores, key=lambda metre: scores[metre])
    slow = float(np.median(np.diff(times))) > 0.3  # six such beats are two bars of three
    return 3 if best == 6 and slow else best


def _likeness_at(rows: Array, lag: int) -> float:
    """Mean product of the rows that are `lag` apart."""
    count = len(rows) - lag
    return float(np.vdot(rows[:count], rows[lag:])) / count


def _phase_means(down: Array, metre: int) -> Array:
    return np.array([down[phase::metre].mean() for phase in range(metre)])


def _is_doubled(down: Array, position: Positions, beat_s: float) -> bool:
    """Whether "bars" are half bars: short, and every second one starts with clearly more evidence."""
    starts = np.flatnonzero(position == 0)
    if 4.0 * beat_s >= 1.9 or len(starts) < 8:
        return False
    return abs(_t(down[starts[0::2]], down[starts[1::2]])) > (2.0 if 4.0 * beat_s < 1.45 else 3.5)


def _phase(down: Array, metre: int) -> Positions:
    """Position in the bar of every beat: the best cycle (Viterbi), where a bar cut short costs SLIP."""
    reward = np.repeat(-down[:, None] / (metre - 1), metre, axis=1)
    reward[:, 0] = down
    before = np.roll(np.arange(metre), 1)
    best, came = reward[0].copy(), np.zeros(reward.shape, int)
    for beat in range(1, len(down)):
        came[beat] = before
        step = best[before]
        top = int(best.argmax())
        if best[top] - SLIP > step[0]:
            step[0], came[beat, 0] = best[top] - SLIP, top
        best = step + reward[beat]
    position = np.full(len(down), int(best.argmax()))
    for beat in range(len(down) - 1, 0, -1):
        position[beat - 1] = came[beat, position[beat]]
    return position
