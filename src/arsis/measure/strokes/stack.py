"""What a group of equal strokes gains, band by band, from one kind of section to the other.

Of the strokes laid over one another, what they have in common adds up in step; what else sounds does not.
With S the sum over a kind's n strokes, (|S|² − Σ|stroke|²) / (n (n − 1)) is the power of what they share,
free of the rest, and S*·S' / (n n') that of both kinds. The gain is the direction in which the matrix of
these is largest, each kind scaled by its own rest (total least squares).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .find import Group
from .waves import Floats, Indices, Part, Spectra, power

FOLDS = 10  # parts of the strokes, each left out once: the spread of the gains tells their error
FURTHEST_DB = 9.0  # no mix turns the same stroke up by so much: another one was met


def gains_db(part: Part, edges: Indices, group: Group, is_one: NDArray[np.bool_], fold: Indices) -> Floats:
    """(1 + FOLDS, bands): of all strokes, then without each fold; NaN where nothing can be told."""
    turns = 2j * np.pi * np.arange(edges[0], edges[-1]) * part.rate_hz / part.size
    bins = part.bins[group.members, edges[0] : edges[-1]]
    laid = np.asarray(bins * np.exp(group.late_s[:, None] * turns), np.complex64)
    starts = edges[:-1] - edges[0]
    one, other = (
        _sums(laid, starts, fold[group.members], is_one[group.members] == kind) for kind in (True, False)
    )
    with np.errstate(invalid="ignore", divide="ignore"):
        return _gain_db(one, other, _banded(np.conj(other.whole) * one.whole, starts))


@dataclass(frozen=True, slots=True)
class _Kind:
    """Of one kind, with all strokes and without each fold. whole: (1 + FOLDS, bins); the rest by band."""

    count: Floats
    whole: Spectra
    own: Floats
    power: Floats

    @property
    def shared(self) -> Floats:
        """Power of what the strokes share."""
        count = self.count[:, None]
        return np.asarray((self.power - self.own) / (count * (count - 1.0)))

    @property
    def rest(self) -> Floats:
        """Power that is left in the mean of what they do not share, at most."""
        return np.asarray(self.own / self.count[:, None] ** 2)


def _sums(laid: Spectra, starts: Indices, fold: Indices, inside: NDArray[np.bool_]) -> _Kind:
    own = _banded(power(laid), starts)
    without = np.stack([inside, *(inside & (fold != left) for left in range(FOLDS))]).astype(np.float32)
    whole = np.asarray(without @ laid, np.complex64)
    return _Kind(
        count=without.sum(axis=1, dtype=np.float64),
        whole=whole,
        own=without @ own,
        power=_banded(power(whole), starts),
    )


def _gain_db(one: _Kind, other: _Kind, crossed: Floats) -> Floats:
    both = crossed.real / (one.count * other.count)[:, None]
    scale = np.sqrt(one.rest / other.rest)
    here, there, across = (
        one.shared / one.rest,
        other.shared / other.rest,
        both / np.sqrt(one.rest * other.rest),
    )
    # The larger eigenvector of [[there, across], [across, here]].
    half = 0.5 * (here - there)
    slope = (half + np.sqrt(half**2 + across**2)) / across
    gain_db = 20.0 * np.log10(slope * scale)
    told = (across > 0.0) & (np.abs(gain_db) < FURTHEST_DB)
    told &= (np.minimum(one.count, other.count) >= 2.0)[:, None]
    return np.where(told, gain_db, np.nan)


def _banded(rows: NDArray[np.generic], starts: Indices) -> Floats:
    return np.asarray(np.add.reduceat(rows, starts, axis=1).astype(np.result_type(rows.dtype, np.float64)))
