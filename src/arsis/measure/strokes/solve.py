"""One treatment for all groups: gain(group, band) = level(group) + tone(band), by weighted least squares.

What a group's strokes were played louder by is its own; what all groups gain in a band is the treatment.
Outlying gains are held down (P. J. Huber, Robust Statistics, 1981). Errors are the larger of two: what the
gains' own errors make of the solution, and the spread of the solutions with a tenth of the strokes left out
(delete-a-group jackknife; B. Efron, The Jackknife, the Bootstrap and Other Resampling Plans, 1982).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .stack import FOLDS
from .waves import Floats

LEVEL_DB = 0.7  # strokes of a group are played so much louder in one kind than in the other, or less
LEAST_ERROR_DB, MOST_ERROR_DB = 0.15, 2.5  # of a gain: nothing is known better, and what is worse is left out
OUTLIER = 1.5  # errors
ROUNDS = 6


@dataclass(frozen=True, slots=True)
class Solved:
    """db: (1 + FOLDS, bands), with all strokes and without each fold; NaN where no group tells.

    error_db: (bands,). shared_db2: (bands, bands), covariances.
    """

    db: Floats
    error_db: Floats
    shared_db2: Floats

    @property
    def told(self) -> NDArray[np.bool_]:
        return np.isfinite(self.error_db)


def solved(gains_db: Floats) -> Solved | None:
    """gains_db: (groups, 1 + FOLDS, bands). None where no gain is known well enough."""
    error = spread(gains_db.swapaxes(0, 1))
    group, band = np.nonzero(error < MOST_ERROR_DB)
    if not group.size:
        return None
    has, column = np.unique(band, return_inverse=True)
    count, rows = len(gains_db), group.size
    weight = 1.0 / np.sqrt(error[group, band] ** 2 + LEAST_ERROR_DB**2)
    design = np.zeros((rows + count, count + has.size))
    design[np.arange(rows), group] = weight
    design[np.arange(rows), count + column] = weight
    design[rows + np.arange(count), np.arange(count)] = 1.0 / LEVEL_DB
    heard = np.zeros((rows + count, 1 + FOLDS))
    heard[:rows] = gains_db[group, :, band] * weight[:, None]
    found, shared = _robust(design, heard)
    return _placed(found[count:].T, shared[count:, count:], has, gains_db.shape[-1])


def spread(db: Floats) -> Floats:
    """Standard error from the solutions without each fold; db: (1 + FOLDS, …). NaN where one is missing."""
    left = db[1:]
    away = left - left.mean(axis=0)
    return np.asarray(np.sqrt((FOLDS - 1) / FOLDS * (away**2).sum(axis=0)))


def _robust(design: Floats, heard: Floats) -> tuple[Floats, Floats]:
    held = np.ones(len(design))
    for _ in range(ROUNDS):
        found = np.linalg.lstsq(design * held[:, None], heard * held[:, None], rcond=None)[0]
        away = np.abs(heard[:, 0] - design @ found[:, 0])
        held = 1.0 / np.sqrt(np.maximum(1.0, away / OUTLIER))
    scaled = design * held[:, None]
    return np.asarray(found, np.float64), np.asarray(np.linalg.inv(scaled.T @ scaled), np.float64)


def _placed(tone_db: Floats, shared_db2: Floats, has: NDArray[np.int64], bands: int) -> Solved:
    own = spread(tone_db) ** 2
    shared = shared_db2 + np.diag(np.maximum(0.0, own - np.diag(shared_db2)))
    db, whole = np.full((1 + FOLDS, bands), np.nan), np.full((bands, bands), np.nan)
    db[:, has] = tone_db
    whole[np.ix_(has, has)] = shared
    return Solved(db, np.sqrt(np.diag(whole)), whole)
