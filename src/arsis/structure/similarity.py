"""How alike two units are: by level, timbre, spectrum in time, harmony and rhythm; and all five together."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .running import Array
from .units import Units


@dataclass(frozen=True, slots=True)
class Similarity:
    """Square matrices (units, units). level and timbre lie in [0, 1], the others in [-1, 1].

    levels (units, d), timbres (units, 13): the coordinates behind the first two, about unit scale.
    pitches (units, slots, 12): pitch classes of the harmony, each slot of unit length.
    """

    level: Array
    timbre: Array
    spectrum: Array
    harmony: Array
    rhythm: Array
    levels: Array
    timbres: Array
    pitches: Array

    @property
    def mean(self) -> Array:
        return np.asarray((self.level + self.timbre + self.spectrum + self.harmony + self.rhythm) / 5.0)


def compare_units(units: Units) -> Similarity:
    """The five matrices. The bar-wise spectrum is that of Marmoret, Cohen and Bimbot (2023), section 3.1."""
    levels, timbres = _levels(units), _timbres(units)
    harmony = 0.6 * _course(units.harmony) + 0.4 * _course(units.bass)
    rhythm = units.rhythm / (units.rhythm.mean(axis=(0, 1)) + 1e-9)
    return Similarity(
        level=_nearness(levels),
        timbre=_nearness(timbres),
        spectrum=_cosine(units.mel_slots.reshape(len(units), -1)),
        harmony=harmony,
        rhythm=_cosine(rhythm.reshape(len(units), -1)),
        levels=levels,
        timbres=timbres,
        pitches=_unit_slots(units.harmony),
    )


def ranks(matrix: Array) -> Array:
    """0 for the least alike pair of units of the song … 1 for the most; neighbours are no pair."""
    pairs = np.triu_indices(len(matrix), 2)
    values = matrix[pairs]
    order = np.argsort(values)
    values = values[order]
    ranked = np.empty(matrix.shape)
    # In order the search is quick, and the other half is the same.
    ranked[pairs[0][order], pairs[1][order]] = np.searchsorted(values, values)
    ranked[pairs[1], pairs[0]] = ranked[pairs]
    for beside in (-1, 0, 1):
        near = np.arange(max(0, -beside), len(matrix) - max(0, beside))
        ranked[near, near + beside] = np.searchsorted(values, matrix[near, near + beside])
    return ranked / max(len(values), 1)


def _levels(units: Units) -> Array:
    """Weights tuned on composed songs; a floor keeps a song that never changes from looking eventful."""
    parts = (
        _scaled(units.bands, 1.5),
        1.5 * _scaled(units.loudness[:, None], 1.0),
        0.7 * _scaled(units.width, 1.5),
        0.7 * _scaled(units.density, 0.6),
    )
    return np.hstack(parts)


def _scaled(values: Array, floor: float) -> Array:
    return np.asarray((values - np.median(values, axis=0)) / np.maximum(values.std(axis=0), floor))


def _timbres(units: Units) -> Array:
    """Cosine transform of the mel levels, 1 to 13 (Davis and Mermelstein (1980), eq. 1)."""
    count = units.mel.shape[1]
    cosines = np.cos(np.pi / count * np.outer(np.arange(count) + 0.5, np.arange(1, 14)))
    shape = units.mel @ cosines
    shape = shape - shape.mean(axis=0)
    return np.asarray(shape / (shape.std(axis=0).mean() + 1e-9))


def _nearness(points: Array) -> Array:
    """exp(-d²/median d²) of the mean squared distance."""
    square = (points**2).mean(axis=1)
    distance = np.maximum(square[:, None] + square - 2.0 * points @ points.T / points.shape[1], 0.0)
    return np.asarray(np.exp(-distance / (np.median(distance) + 1e-9)))


def _cosine(rows: Array) -> Array:
    rows = rows - rows.mean(axis=0)
    rows = rows / (np.linalg.norm(rows, axis=1, keepdims=True) + 1e-9)
    return np.asarray(rows @ rows.T)


def _course(slots: Array) -> Array:
    """Mean cosine of pitch classes, slot by slot."""
    flat = _unit_slots(slots).reshape(len(slots), -1)
    return np.asarray(flat @ flat.T / slots.shape[1])


def _unit_slots(slots: Array) -> Array:
    rows = slots - slots.mean(axis=2, keepdims=True)
    return np.asarray(rows / (np.linalg.norm(rows, axis=2, keepdims=True) + 1e-6))
