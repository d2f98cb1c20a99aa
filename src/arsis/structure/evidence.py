"""What speaks for a section to start at a unit: curves over the song's units, and the log odds they give.

Foote, Automatic Audio Segmentation Using a Measure of Audio Novelty (2000): contrast along the diagonal.
Serra, Müller, Grosche and Arcos, Unsupervised Music Structure Annotation by Time Series Structure Features
and Segment Similarity (2014): where a repetition starts or stops, on the lags of the likeness.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from .running import Array, running_max, running_sum
from .similarity import Similarity, ranks
from .units import Units

NEARBY = 2  # units: a value that is not the largest so near counts half
AROUND = 4  # units among which a peak is compared with the others, and a unit with its neighbours
SHORTEST_LAG, LEAST_SIDE = 4, 3  # units of a repetition, and of what is compared on both sides of its edge
ACROSS = 1.4
BUSIEST = 4.0  # the end of a unit against the rest of it: a fill

# Logistic weights of the curves and their intercept, fitted by bench/form/fit.py to the units of 232 songs
# whose form is known: 15 composed and 42 real ones (bench/form: seen, real_seen), the 55 of the demo and of
# bench/corpus, and 120 by chance.
WEIGHTS = np.array([1.73, 1.95, 1.02, 0.94, 2.22, 1.54, 0.74, 3.75, 0.17, 0.99])
BIAS = -13.43


def own_log_odds(curves: Array) -> Array:
    """Of each unit, whether a section starts with it, by its own curves alone, (units,)."""
    return np.asarray(curves @ WEIGHTS + BIAS)


def start_curves(units: Units, similar: Similarity) -> Array:
    """The curves in the order of WEIGHTS, about unit scale, (units, 10)."""
    whole = contrast(similar.mean, 8)
    curves = (
        whole,
        contrast(similar.level, 4),
        contrast(similar.level, 16),
        contrast(similar.timbre, 4),
        repetition_edges(ranks(similar.harmony), 8),
        repetition_edges(ranks(similar.spectrum), 4),
        _after_a_fill(units),
    )
    peak = whole / (running_max(whole, AROUND) + 1e-9)
    return np.stack([*map(_peaked, curves), peak, _growth(units), _after_a_stray(similar.mean)], axis=1)


def contrast(similar: Array, reach: int) -> Array:
    """How alike the units on both sides are among themselves, less how alike they are across; at least 0.

    Both sides are added, not averaged: a section starts between two stretches that are each of one kind.
    """
    sums = np.zeros((len(similar) + 1, len(similar) + 1))
    sums[1:, 1:] = similar.cumsum(axis=0).cumsum(axis=1)
    trace = running_sum(np.diag(similar))
    unit = np.arange(len(similar))
    before, after = np.maximum(unit - reach, 0), np.minimum(unit + reach, len(similar))

    def inside(start: NDArray[np.int_], stop: NDArray[np.int_]) -> Array:
        count = stop - start
        square = sums[stop, stop] - 2.0 * sums[start, stop] + sums[start, start]
        return np.asarray((square - trace[stop] + trace[start]) / np.maximum(count * (count - 1), 1))

    pairs = (unit - before) * (after - unit)
    across = sums[unit, after] - sums[before, after] - sums[unit, unit] + sums[before, unit]
    alike = inside(before, unit) + inside(unit, after)
    curve = np.maximum(alike - across / np.maximum(pairs, 1), 0.0)
    curve[0] = 0.0
    return np.asarray(curve)


def repetition_edges(similar: Array, reach: int) -> Array:
    """How clearly repetitions start or stop at each unit: the mean of its largest steps along the lags."""
    count = len(similar)
    unit, lag = np.arange(count)[:, None], np.arange(SHORTEST_LAG, max(count - 2, SHORTEST_LAG))
    length = count - lag
    along = np.where(unit < length, similar[unit, np.minimum(unit + lag, count - 1)], 0.0)
    sums = running_sum(along)
    column = np.arange(len(lag))
    ahead, behind = np.minimum(unit + reach, length), np.maximum(unit - reach, 0)
    long = (ahead - unit >= LEAST_SIDE) & (unit - behind >= LEAST_SIDE)
    here = sums[unit, column]
    after = (sums[np.maximum(ahead, 0), column] - here) / np.maximum(ahead - unit, 1)
    before = (here - sums[behind, column]) / np.maximum(unit - behind, 1)
    steps = np.where(long, np.abs(after - before), 0.0)
    # An edge of a repetition is one of the first time and one of the second.
    later = np.where(unit >= lag, steps[np.maximum(unit - lag, 0), column], 0.0)
    largest = max(2, count // 20)
    both = np.sort(np.hstack([steps, later, np.zeros((count, largest))]), axis=1)
    return np.asarray(both[:, -largest:].mean(axis=1))


def _growth(units: Units) -> Array:
    """How much the spectrum grows from the last eighth of a unit to the first of the next, over the mean."""
    growth = np.maximum(units.mel_slots[1:, 0] - units.mel_slots[:-1, -1], 0.0).mean(axis=1)
    return np.append(0.0, growth / (growth.mean() + 1e-6))


def _after_a_stray(similar: Array) -> Array:
    """How much less than others the unit before is like any neighbours: a break of one bar, a fill."""
    count = len(similar)
    sums = np.zeros((2, count))
    numbers = np.zeros((2, count))
    for away in range(1, min(AROUND, count - 1) + 1):
        pairs = np.diagonal(similar, away)
        sums[0, away:] += pairs
        sums[1, :-away] += pairs
        numbers[0, away:] += 1.0
        numbers[1, :-away] += 1.0
    likeness = np.where(numbers > 0.0, sums / np.maximum(numbers, 1.0), -1.0).max(axis=0)
    stray = np.maximum(likeness.mean() - likeness, 0.0) / (likeness.std() + 1e-6)
    return np.concatenate([[0.0], stray[:-1]])


def _after_a_fill(units: Units) -> Array:
    """How busy the middle bands are in the last quarter of the unit before, against its rest."""
    middle = units.rhythm[:, :, 1:3].mean(axis=2)
    start = 3 * middle.shape[1] // 4
    busy = middle[:, start:].mean(axis=1) / (middle[:, :start].mean(axis=1) + 1e-6)
    return np.concatenate([[1.0], np.minimum(busy[:-1], BUSIEST)])


def _peaked(curve: Array) -> Array:
    """Over its rms; half of it where a neighbour is larger."""
    scale = float(np.sqrt((curve**2).mean())) + 1e-6
    return np.asarray(curve / scale * np.where(curve >= running_max(curve, NEARBY) - 1e-12, 1.0, 0.5))
