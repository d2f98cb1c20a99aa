"""One kind of section against another, by the strokes that both have."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from arsis.measure.figure import Figure

from .agreed import agreed
from .solve import Solved, solved, spread
from .sound import Onsets, Sound
from .treatment import Hump, bell_between, level, low_end, mean_of, without
from .views import BANDS_HZ, as_it_sounds, by_itself
from .waves import Floats

SIDES_FROM_HZ = 180.0  # width below is nobody's to hear
WIDE = np.s_[:, BANDS_HZ > SIDES_FROM_HZ]
FURTHEST_ERROR_DB = 2.5
LEAST_RATE_HZ = 40_000  # at less the upper bands are missing, and most strokes are told apart up there


@dataclass(frozen=True, slots=True)
class Strokes:
    """`one` kind against the `other`. count: strokes of sounds that both kinds have.

    width: of sides over mids. None where too little is known.
    """

    count: int
    tone: Solved | None
    width: Figure | None

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


_NONE = Strokes(0, None, None)


def strokes_between(sound: Sound, at: Onsets, is_one: NDArray[np.bool_]) -> Strokes:
    """What the strokes that both kinds have gained in `one`. is_one: of each of `at`.

    Where the two views differ, the error says so.
    """
    if sound.rate_hz < LEAST_RATE_HZ:
        return _NONE
    with ThreadPoolExecutor(2) as pool:
        views = list(pool.map(lambda view: view(sound, at, is_one), (as_it_sounds, by_itself)))
    told = [one for view in views for one in view]
    if not told:
        return _NONE
    return Strokes(
        count=np.unique(np.concatenate([one.starts for one in told])).size,
        tone=agreed([solved(np.stack([one.mid_db for one in view])) for view in views if view]),
        width=_mean(np.stack([(one.side_db - one.mid_db)[WIDE] for one in told])),
    )


def _mean(apart_db: Floats) -> Figure | None:
    """Of all groups and bands that are known well enough; apart_db: (groups, 1 + FOLDS, bands)."""
    error = spread(apart_db.swapaxes(0, 1))
    told = error < FURTHEST_ERROR_DB
    if not told.any():
        return None
    return mean_of([apart_db.swapaxes(0, 1)[:, told]], [error[told]])
