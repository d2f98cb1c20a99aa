"""An edge by the mean spectra of both kinds, where nothing that sounds in both tells of it.

Where both kinds were treated alike, their third octaves still differ by what plays. That is taken for a
smooth curve of chance, whose covariance falls with the distance between two bands,

    C(f, g) = (1 - ALONE) exp(-|log2(f / g)| / REACH_OCTAVES), and 1 where f = g,

up to a factor. Of all sums over the bands, the generalised least squares of a bell b beside a level err least
then about its size (A. C. Aitken, "On least squares and linear combinations of observations", Proceedings of
the Royal Society of Edinburgh 55, 1935): with A = (b, 1), (size, level) = (A' C^-1 A)^-1 A' C^-1 difference.
What is left of the difference tells the factor, and so the error. Limits: docs/advise.md.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from arsis.measure.shapes import Floats, bell_db
from arsis.measure.spectrum import THIRD_OCTAVES

from .pair import Pair
from .tone import EDGE_HZ, ToneFound, outside

# What the bass does says nothing of the edge, and the top may be a file's or an instrument's end.
BANDS_HZ = (700.0, 13_000.0)
REACH_OCTAVES, ALONE = 2.0, 0.2
PER_OCTAVE, BEYOND = 12, 1.15  # what is strongest a fifth of an octave outside is somebody else's
LEAST_BANDS = 10  # up to 6.3 kHz
# More is arrangement, as is any edge that refrains have more of: both are as large in songs as they are.
LEAST_DB, MOST_DB = 1.5, 5.0
ERRORS = 1.25  # so many a size has to reach


@dataclass(frozen=True, slots=True)
class _Bell:
    freq_hz: float
    size_db: float
    error_db: float


def edge_by_spectra(pair: Pair, why: str) -> ToneFound | str:
    """An edge that `other` has more of. why: no surer way tells, in words."""
    with np.errstate(invalid="ignore"):  # a band that is empty in both
        found = _strongest_dip(pair.one.third_octaves_db - pair.other.third_octaves_db)
    if found is None:
        return why
    least_db = max(LEAST_DB, ERRORS * found.error_db)
    if outside(found.freq_hz, EDGE_HZ) or not least_db <= -found.size_db <= MOST_DB:
        return f"{why}; in their spectra no edge of {pair.other.named} stands out"
    return ToneFound(found.freq_hz, found.size_db, LEAST_DB, 3.0, 0.5, 0.8, heard="by their spectra alone")


def _strongest_dip(apart_db: Floats) -> _Bell | None:
    """Of the bells around EDGE_HZ the one that is furthest below nothing for its error."""
    at_hz = np.asarray(THIRD_OCTAVES)
    heard = np.isfinite(apart_db) & (at_hz > BANDS_HZ[0]) & (at_hz < BANDS_HZ[1])
    if np.count_nonzero(heard) < LEAST_BANDS:
        return None
    at_hz, apart_db = at_hz[heard], apart_db[heard]
    octaves = np.log2(at_hz)
    chance = (1.0 - ALONE) * np.exp(-np.abs(octaves[:, None] - octaves) / REACH_OCTAVES)
    inverse = np.linalg.inv(chance + ALONE * np.eye(at_hz.size))
    low_hz, high_hz = EDGE_HZ[0] / BEYOND, EDGE_HZ[1] * BEYOND
    places = np.geomspace(low_hz, high_hz, round(PER_OCTAVE * np.log2(high_hz / low_hz)) + 1)
    bells = [_fitted(apart_db, at_hz, float(place), inverse) for place in places]
    _, best = min(bells, key=lambda one: one[0])
    return best


def _fitted(apart_db: Floats, at_hz: Floats, freq_hz: float, inverse: Floats) -> tuple[float, _Bell]:
    """The size in errors that it would have were the factor 1, and the bell."""
    shapes = np.stack([bell_db(at_hz, freq_hz, 1.0), np.ones(at_hz.size)], axis=1)
    known = np.linalg.inv(shapes.T @ inverse @ shapes)
    found = known @ shapes.T @ inverse @ apart_db
    left = apart_db - shapes @ found
    factor = float(left @ inverse @ left) / (at_hz.size - shapes.shape[1])
    error_db = float(np.sqrt(known[0, 0]))
    return float(found[0]) / error_db, _Bell(freq_hz, float(found[0]), float(np.sqrt(factor)) * error_db)
