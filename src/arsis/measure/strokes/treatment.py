"""What a treatment that was found looks like: a bell somewhere, a low shelf, a level."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from arsis.measure.figure import Figure
from arsis.measure.shapes import bell_db, low_shelf_db

from .solve import Solved, spread
from .waves import Floats

LOW_HZ, SHELF_HZ = 70.0, 120.0  # kick and bass (DESIGN 9: common practice, no source)
PER_OCTAVE = 12
TILT_DB = 0.2  # an octave: so much may strokes be brighter or duller in one kind by the playing
BAND_DB = 0.25  # a third octave differs by so much from a smooth curve
LEAST_BANDS = 5


@dataclass(frozen=True, slots=True)
class Hump:
    """A bell or a shelf beside a level and a slight tilt. size_db: negative for a dip.

    shape_db: of 1 dB of it, (bands,). unexplained: what it leaves of the tone, in squared errors.
    """

    freq_hz: float
    size_db: float
    error_db: float
    shape_db: Floats
    unexplained: float


def bell_at(tone: Solved, bands_hz: Floats, freq_hz: float) -> Hump | None:
    """None where too few bands are told."""
    return _fitted(tone, bands_hz, freq_hz, bell_db(bands_hz, freq_hz, 1.0))


def bell_between(tone: Solved, bands_hz: Floats, low_hz: float, high_hz: float) -> Hump | None:
    """The bell between two frequencies that explains most."""
    count = round(PER_OCTAVE * float(np.log2(high_hz / low_hz))) + 1
    return _best([bell_at(tone, bands_hz, float(at_hz)) for at_hz in np.geomspace(low_hz, high_hz, count)])


def low_end(tone: Solved, bands_hz: Floats) -> Hump | None:
    """A bell at LOW_HZ or a shelf below SHELF_HZ, whichever explains more."""
    shelf = _fitted(tone, bands_hz, LOW_HZ, low_shelf_db(bands_hz, SHELF_HZ, 1.0))
    return _best([bell_at(tone, bands_hz, LOW_HZ), shelf])


def _best(humps: Sequence[Hump | None]) -> Hump | None:
    told = [hump for hump in humps if hump is not None]
    return min(told, key=lambda hump: hump.unexplained) if told else None


def level(tone: Solved) -> Figure:
    """Of all bands, each counted by how well it is known."""
    return mean_of([tone.db[:, tone.told]], [tone.error_db[tone.told]])


def mean_of(values_db: Sequence[Floats], errors_db: Sequence[Floats]) -> Figure:
    """Weighted mean of figures with and without each fold: each (1 + FOLDS, n), with n errors."""
    value = np.concatenate(values_db, axis=1)
    weight = 1.0 / (np.concatenate(errors_db) ** 2 + BAND_DB**2)
    mean = value @ weight / weight.sum()
    error = max(float(spread(mean)), 1.0 / float(np.sqrt(weight.sum())))
    return Figure(float(mean[0]), error)


def without(tone: Solved, hump: Hump) -> Solved:
    """The tone less what was found in it."""
    return replace(tone, db=tone.db - hump.size_db * hump.shape_db)


def _fitted(tone: Solved, bands_hz: Floats, freq_hz: float, shape_db: Floats) -> Hump | None:
    told = tone.told
    if np.count_nonzero(told) < LEAST_BANDS:
        return None
    octaves = np.log2(bands_hz[told] / freq_hz)
    shapes = np.stack([shape_db[told], np.ones(octaves.size), octaves], axis=1)
    inverse = np.linalg.inv(tone.shared_db2[np.ix_(told, told)] + BAND_DB**2 * np.eye(octaves.size))
    normal = shapes.T @ inverse @ shapes
    normal[2, 2] += 1.0 / TILT_DB**2
    known = np.linalg.inv(normal)
    heard = tone.db[:, told].T
    found = known @ shapes.T @ inverse @ heard
    left = heard[:, 0] - shapes @ found[:, 0]
    error = max(float(np.sqrt(known[0, 0])), float(spread(found[0][:, None])[0]))
    unexplained = float(left @ inverse @ left) + float((found[2, 0] / TILT_DB) ** 2)
    return Hump(freq_hz, float(found[0, 0]), error, shape_db, unexplained)
