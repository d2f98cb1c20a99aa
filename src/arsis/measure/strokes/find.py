"""Finds strokes that come again: the same sample, or the same note played by the same machine.

A stroke is compared with all others at every shift; those that agree with it are laid over one another, and
the mean is compared again. What else sounds at the time differs from stroke to stroke and falls out of the
mean (signal averaging; G. D. Dawson, "A summation technique for the detection of small evoked potentials",
Electroencephalography and Clinical Neurophysiology, 1954; the mean as the next template is the k-means step).
Every third octave counts the same, so that a treatment of the whole makes no difference to what is found.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from arsis.dsp.agreement import Agreement, size_for

from .waves import (
    LATE_S,
    MID,
    Floats,
    Indices,
    Spectra,
    Waves,
    Window,
    power,
    third_octaves,
)

LEAST_MEMBERS = 6
ROUNDS, MOST_TRIED = 3, 60
SHARED = 0.5  # of the strokes of two groups, so many in both: they are the same group
_SEED = 0


@dataclass(frozen=True, slots=True)
class Scale:
    """How long is listened, and between which frequencies."""

    length_s: float
    low_hz: float
    high_hz: float


SCALES = (
    Scale(0.17, 39.7, 500.0),
    Scale(0.12, 160.0, 5_000.0),
    Scale(0.045, 794.0, 16_000.0),
    Scale(0.045, 4_000.0, 16_000.0),
)


@dataclass(frozen=True, slots=True)
class Strictness:
    """What counts as the same. Agreement is a mean over bands, 1 for the same.

    alike: of a first stroke and another. least_strength: of a group. member: of a stroke with its group, in
    parts of the group's strength.
    """

    alike: float
    least_strength: float
    member: float


@dataclass(frozen=True, slots=True)
class Group:
    """Strokes that are the same. late_s: how much later each sounds than the group's mean.

    strength: which part of what sounds is the group's own, 0 to 1.
    """

    members: Indices
    late_s: Floats
    strength: float

    def late(self, rate_hz: int) -> Indices:
        """In frames."""
        return np.rint(self.late_s * rate_hz).astype(np.int64)

    @property
    def worth(self) -> float:
        return self.strength * float(np.sqrt(len(self.members)))


def groups(waves: Waves, strictness: Strictness) -> tuple[Group, ...]:
    """The strongest first; a stroke may be in several, as a kick and a hat sound together."""
    return tuple(_apart([group for scale in SCALES for group in _found(waves, scale, strictness)]))


def _found(waves: Waves, scale: Scale, strictness: Strictness) -> Iterator[Group]:
    ear = _Ear(waves, scale)
    free = np.ones(len(waves), np.bool_)
    tried = 0
    for first in np.random.default_rng(_SEED).permutation(len(waves)):
        if not free[first] or tried >= MOST_TRIED:
            continue
        tried += 1
        free[first] = False
        group = _grown(ear, int(first), strictness)
        if group is not None:
            free[group.members] = False
            yield group


def _grown(ear: _Ear, first: int, strictness: Strictness) -> Group | None:
    """The group that a stroke belongs to."""
    agrees, late_s = ear.compared(ear.bins[first])
    members = np.flatnonzero(agrees > strictness.alike)
    strength = 0.0
    for _ in range(ROUNDS):
        count = len(members)
        if count < LEAST_MEMBERS:
            return None
        own = ear.power[members]
        whole = ear.laid(members, late_s[members])
        strength = float((power(whole).sum() - own.sum()) / (count * (count - 1)))
        if strength < strictness.least_strength:
            return None
        agrees, late_s = ear.compared(whole / np.float32(count))
        agrees[members] = (agrees[members] * count - own) / (count - 1)  # its own part in the mean aside
        before, members = members, np.flatnonzero(agrees > strictness.member * strength)
        if np.array_equal(before, members):
            break
    return Group(members, late_s[members], strength) if len(members) >= LEAST_MEMBERS else None


def _apart(found: list[Group]) -> Iterator[Group]:
    """The strongest of those that are mostly the same strokes."""
    kept: list[set[int]] = []
    for group in sorted(found, key=lambda one: -one.worth):
        members = set(group.members.tolist())
        if all(len(members & other) < SHARED * len(members | other) for other in kept):
            kept.append(members)
            yield group


class _Ear:
    """Strokes with every third octave made equally strong; together they have the power 1."""

    def __init__(self, waves: Waves, scale: Scale) -> None:
        part = Window(scale.length_s).spectra(waves, MID)
        edges = part.edges(third_octaves(scale.low_hz, scale.high_hz))
        self._low, high = int(edges[0]), int(edges[-1])
        bins = part.bins[:, self._low : high]
        level = np.add.reduceat(power(bins), edges[:-1] - self._low, axis=1)
        level = np.sqrt(level * (edges.size - 1)) + np.float32(1e-12)
        self.bins: Spectra = bins / np.repeat(level, np.diff(edges), axis=1)
        self.power = power(self.bins).sum(axis=1)
        size = size_for(high)
        self._step_s = part.size / size / part.rate_hz
        self._agreement = Agreement(self.bins, self._low, size, int(LATE_S / self._step_s) + 1)
        self._turns = 2j * np.pi * np.arange(self._low, high) * part.rate_hz / part.size

    def compared(self, template: Spectra) -> tuple[Floats, Floats]:
        """How far each stroke agrees with a template at its best shift, and that shift in seconds."""
        agrees, shift = self._agreement.best(template)
        return agrees, shift * self._step_s

    def laid(self, members: Indices, late_s: Floats) -> Spectra:
        """The sum of strokes laid over one another."""
        turns = np.exp(late_s[:, None] * self._turns).astype(np.complex64)
        return np.asarray((self.bins[members] * turns).sum(axis=0))
