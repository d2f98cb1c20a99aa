"""One kind of section against another, by the strokes that both have."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from arsis.measure.figure import Figure

from .find import Group, groups
from .solve import Solved, solved, spread
from .stack import FOLDS, gains_db
from .treatment import Hump, bell_between, level, low_end, mean_of, without
from .waves import BEFORE_S, MID, SIDE, Floats, Indices, Waves, Window, third_octaves

LOW_EDGES_HZ, HIGH_EDGES_HZ = third_octaves(39.7, 1_000.0), third_octaves(1_000.0, 16_000.0)
BANDS_HZ = np.concatenate([np.sqrt(edges[:-1] * edges[1:]) for edges in (LOW_EDGES_HZ, HIGH_EDGES_HZ)])
LOW_WINDOW, HIGH_WINDOW = Window(0.0, 0.17, BEFORE_S), Window(0.0, 0.045, BEFORE_S)
SIDES_FROM_HZ = 180.0  # width below is nobody's to hear
BLOW_WINDOW, BLOW_EDGES_HZ = Window(0.008, 0.02, 0.002), 250.0 * 2.0 ** np.arange(7.0)
FURTHEST_ERROR_DB = 2.5
LEAST_RATE_HZ = 40_000  # at less the upper bands are missing, and most strokes are told apart up there
MOST_STROKES = 240  # of a kind: so many bound the time that a long song takes


@dataclass(frozen=True, slots=True)
class Strokes:
    """`one` kind against the `other`. count: strokes of which both kinds have the same.

    width: of sides over mids. blow: of the mids, 4 to 24 ms after the onset. None where too little is known.
    """

    count: int
    tone: Solved | None
    width: Figure | None
    blow: Figure | None

    @property
    def level(self) -> Figure | None:
        """Of the mids."""
        return None if self.tone is None else level(self.tone)

    def low_end(self) -> Hump | None:
        return None if self.tone is None else low_end(self.tone, BANDS_HZ)

    def bell_between(self, low_hz: float, high_hz: float) -> Hump | None:
        return None if self.tone is None else bell_between(self.tone, BANDS_HZ, low_hz, high_hz)

    def without(self, hump: Hump) -> Strokes:
        """The same with a hump taken off the tone."""
        return self if self.tone is None else replace(self, tone=without(self.tone, hump))


_NONE = Strokes(0, None, None, None)


def strokes_between(waves: Waves, is_one: NDArray[np.bool_]) -> Strokes:
    """What the strokes that both kinds have gained in `one`. is_one: (strokes,)."""
    if waves.rate_hz < LEAST_RATE_HZ:
        return _NONE
    some = np.sort(np.concatenate([_some(is_one), _some(~is_one)]))
    waves, is_one = waves.taken(some), is_one[some]
    found = groups(waves, is_one)
    if not found:
        return _NONE
    fold = _folds(is_one)
    mid, side = (_tones(waves, channel, found, is_one, fold) for channel in (MID, SIDE))
    blow = BLOW_WINDOW.spectra(waves, MID)
    edges = blow.edges(BLOW_EDGES_HZ)
    return Strokes(
        count=len(set(np.concatenate([group.members for group in found]).tolist())),
        tone=solved(mid),
        width=_mean(side[:, :, BANDS_HZ > SIDES_FROM_HZ] - mid[:, :, BANDS_HZ > SIDES_FROM_HZ]),
        blow=_mean(np.stack([gains_db(blow, edges, group, is_one, fold) for group in found])),
    )


def _some(which: NDArray[np.bool_]) -> Indices:
    """Of many strokes as many as are enough, from all of the song."""
    places = np.flatnonzero(which)
    count = min(places.size, MOST_STROKES)
    return places[np.arange(count) * places.size // max(count, 1)]


def _folds(is_one: NDArray[np.bool_]) -> Indices:
    """Every FOLDSth stroke of a kind is of the same fold."""
    fold = np.zeros(is_one.size, np.int64)
    for kind in (True, False):
        inside = np.flatnonzero(is_one == kind)
        fold[inside] = np.arange(inside.size) % FOLDS
    return fold


def _tones(
    waves: Waves, channel: int, found: tuple[Group, ...], is_one: NDArray[np.bool_], fold: Indices
) -> Floats:
    """(groups, 1 + FOLDS, bands): long windows for the lower bands, short ones for the higher."""
    parts = [
        (part, part.edges(edges_hz))
        for window, edges_hz in ((LOW_WINDOW, LOW_EDGES_HZ), (HIGH_WINDOW, HIGH_EDGES_HZ))
        for part in [window.spectra(waves, channel)]
    ]
    return np.stack(
        [
            np.concatenate([gains_db(part, edges, group, is_one, fold) for part, edges in parts], axis=1)
            for group in found
        ]
    )


def _mean(apart_db: Floats) -> Figure | None:
    """Of all groups and bands that are known well enough; apart_db: (groups, 1 + FOLDS, bands)."""
    error = spread(apart_db.swapaxes(0, 1))
    told = error < FURTHEST_ERROR_DB
    if not told.any():
        return None
    return mean_of([apart_db.swapaxes(0, 1)[:, told]], [error[told]])
