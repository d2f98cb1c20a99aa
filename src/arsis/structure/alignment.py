"""Sections held against each other unit by unit: every pair at once, by running sums along diagonals."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from .running import Array

OFFSETS = 6  # units by which two sections may be shifted against each other
SHIFT_COST = 0.03  # a unit
OTHER_KEY, HIGHER = 0.55, 0.15  # the least likeness in another key, and how much more than in the same one
SEMITONES = 3  # the furthest such key
LEAST_UNITS = 4  # of the shorter of two sections in different keys


def best_alignments(matrices: Sequence[Array], cuts: NDArray[np.int_]) -> Array:
    """(sections, sections, matrices): mean of each matrix (units, units) along the diagonal of two sections
    where the first two matrices are highest; a shift costs a little."""
    offsets = np.arange(-OFFSETS, OFFSETS + 1)[:, None, None]
    starts, lengths = cuts[:-1], np.diff(cuts)
    low = np.maximum(-offsets, 0)
    high = np.minimum(lengths[:, None], lengths - offsets)
    enough = high - low >= np.maximum(0.5 * np.minimum(lengths[:, None], lengths), 1.0)
    high = np.where(enough, high, low)
    # Where too little is left to compare, places beyond the end would be read: they are held there.
    rows, columns = (np.minimum(place, cuts[-1] - low) for place in (starts[:, None], starts + offsets))
    means = np.stack(
        [
            (sums[rows + high, columns + high] - sums[rows + low, columns + low]) / np.maximum(high - low, 1)
            for sums in map(_diagonal_sums, matrices)
        ]
    )
    value = np.where(enough, means[0] + means[1] - SHIFT_COST * np.abs(offsets), -np.inf)
    # Units that are the same to the last bit, as machines play them, fit at several shifts: take the first.
    best = np.round(value, 9).argmax(axis=0)
    return np.moveaxis(np.take_along_axis(means, best[None, None], axis=1)[:, 0], 0, -1)


def in_other_keys(pitches: Array, cuts: NDArray[np.int_]) -> NDArray[np.bool_]:
    """(sections, sections): whether two have the same chords from their starts, the one a little higher.

    pitches: (units, slots, 12), each slot of unit length.
    """
    starts, lengths = cuts[:-1], np.diff(cuts)
    length = np.minimum(lengths[:, None], lengths)
    flat = pitches.reshape(len(pitches), -1)

    def likeness(semitones: int) -> Array:
        higher = np.roll(pitches, -semitones, axis=2).reshape(len(pitches), -1)
        sums = _diagonal_sums(flat @ higher.T)
        rows, columns = starts[:, None], starts
        total = sums[rows + length, columns + length] - sums[rows, columns]
        return np.asarray(total / (length * pitches.shape[1]))

    same = likeness(0)
    up = np.max([likeness(semitones) for semitones in range(1, SEMITONES + 1)], axis=0)
    near = np.maximum(up, up.T)  # down from the one to the other is up from the other to the one
    return np.asarray((length >= LEAST_UNITS) & (near > OTHER_KEY) & (near > same + HIGHER))


def _diagonal_sums(matrix: Array) -> Array:
    """[i, j]: the sum of matrix[i - 1, j - 1], matrix[i - 2, j - 2] … to an edge."""
    sums = np.zeros((len(matrix) + 1, len(matrix) + 1))
    for row, values in enumerate(matrix):
        np.add(sums[row, :-1], values, out=sums[row + 1, 1:])
    return sums
