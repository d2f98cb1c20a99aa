"""What a group of equal strokes gains, band by band, from one kind of section to the other.

How much each stroke has of what the others share is told by laying it over their sum: what they have in
common adds up in step, what else sounds does not (signal averaging; G. D. Dawson, "A summation technique for
the detection of small evoked potentials", Electroencephalography and Clinical Neurophysiology, 1954). The
middle one of each kind counts, so that a stroke which is another one moves little.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from .waves import Floats, Indices, Part, power

FOLDS = 10  # parts of the strokes, each left out once: the spread of the gains tells their error
FURTHEST_DB = 9.0  # no mix turns the same stroke up by so much: another one was met
LEAST_EACH = 3  # strokes of each kind
# P. J. Huber, Robust Statistics, 1981: 1.345 spreads from the middle a stroke begins to count less.
HELD, ROUNDS = 1.345, 5
_SPREAD = 1.4826  # of a normal distribution, from the median deviation


def has_both(is_one: NDArray[np.bool_]) -> bool:
    """Whether a group has enough strokes of each kind."""
    ones = int(np.count_nonzero(is_one))
    return min(ones, is_one.size - ones) >= LEAST_EACH


def gains_db(part: Part, edges: Indices, is_one: NDArray[np.bool_], fold: Indices) -> Floats:
    """(1 + FOLDS, bands): of all strokes, then without each fold; NaN where nothing can be told.

    part: of the group's strokes, laid in step.
    """
    has = _shares(part.bins[:, edges[0] : edges[-1]], edges[:-1] - edges[0])
    one, other = (_middles(has[kind], fold[kind]) for kind in (is_one, ~is_one))
    with np.errstate(invalid="ignore", divide="ignore"):
        gain_db = 20.0 * np.log10(one / other)
        told = (one > 0.0) & (other > 0.0) & (np.abs(gain_db) < FURTHEST_DB)
    return np.where(told, gain_db, np.nan)


def _shares(bins: NDArray[np.complex64], starts: Indices) -> Floats:
    """(strokes, bands): how much each has of what all share."""
    across = (np.conj(bins.sum(axis=0)) * bins).real - power(bins)  # its own part in the sum aside
    with_others = np.add.reduceat(across, starts, axis=1).astype(np.float64)
    count, shared = len(bins), with_others.sum(axis=0)
    whole = np.sqrt(np.where(shared > 0.0, shared, np.nan) * count / (count - 1.0))
    # A stroke a was laid over the others, whole - a: a louder one over less.
    return np.asarray(with_others / np.maximum(whole - with_others / whole, 0.5 * whole))


def _middles(has: Floats, fold: Indices) -> Floats:
    """(1 + FOLDS, bands): of all strokes, then without each fold; NaN for fewer than two strokes.

    has: (strokes, bands). All are looked for from the median of all strokes, by their spread.
    """
    median = np.median(has, axis=0)
    held = HELD * (_SPREAD * np.median(np.abs(has - median), axis=0) + 1e-30)
    counts = np.vstack([np.ones(fold.size), fold != np.arange(FOLDS)[:, np.newaxis]])
    middles = np.broadcast_to(median, (1 + FOLDS, median.size))
    for _ in range(ROUNDS):
        weight = 1.0 / np.maximum(1.0, np.abs(has - middles[:, np.newaxis]) / held)
        weight *= counts[:, :, np.newaxis]
        middles = (weight * has).sum(axis=1) / np.maximum(weight.sum(axis=1), 1e-30)
    return np.where(counts.sum(axis=1)[:, np.newaxis] < 2, np.nan, middles)
