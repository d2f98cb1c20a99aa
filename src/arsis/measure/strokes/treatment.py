"""What a treatment that was found looks like: a bell somewhere, a level, a width, an attack."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from .solve import Solved, spread
from .waves import Floats

BELL_Q = 1.0
PER_OCTAVE = 12
TILT_DB = 0.2  # an octave: so much may strokes be brighter or duller in one kind by the playing
BAND_DB = 0.25  # a third octave differs by so much from a smooth curve
LEAST_BANDS = 5


@dataclass(frozen=True, slots=True)
class Figure:
    """A value and its standard error."""

    value: float
    error: float


@dataclass(frozen=True, slots=True)
class Bell:
    """size_db: negative for a dip."""

    freq_hz: float
    size_db: float
    error_db: float


def bell_at(tone: Solved, bands_hz: Floats, freq_hz: float) -> Bell | None:
    """A bell beside a level and a slight tilt. None where too few bands are told."""
    fit = _fitted(tone, bands_hz, freq_hz)
    return None if fit is None else fit[0]


def bell_between(tone: Solved, bands_hz: Floats, low_hz: float, high_hz: float) -> Bell | None:
    """The bell between two frequencies that explains most."""
    count = round(PER_OCTAVE * float(np.log2(high_hz / low_hz))) + 1
    fits = [_fitted(tone, bands_hz, float(freq_hz)) for freq_hz in np.geomspace(low_hz, high_hz, count)]
    told = [fit for fit in fits if fit is not None]
    return min(told, key=lambda fit: fit[1])[0] if told else None


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


def without(tone: Solved, bands_hz: Floats, bell: Bell) -> Solved:
    """The tone less a bell."""
    return replace(tone, db=tone.db - bell.size_db * bell_db(bands_hz, bell.freq_hz))


def bell_db(bands_hz: Floats, freq_hz: float) -> Floats:
    """An analogue bell of 1 dB: |s² + s A/Q + 1|² over |s² + s/(A Q) + 1|² at s = j f/f0."""
    width, place = 10.0 ** (1.0 / 40.0), bands_hz / freq_hz
    over = (1.0 - place**2) ** 2
    ratio = (over + (place * width / BELL_Q) ** 2) / (over + (place / (width * BELL_Q)) ** 2)
    return np.asarray(10.0 * np.log10(ratio))


def _fitted(tone: Solved, bands_hz: Floats, freq_hz: float) -> tuple[Bell, float] | None:
    """The bell, and how much of the curve it leaves unexplained, in squared errors."""
    told = tone.told
    if np.count_nonzero(told) < LEAST_BANDS:
        return None
    octaves = np.log2(bands_hz[told] / freq_hz)
    shapes = np.stack([bell_db(bands_hz[told], freq_hz), np.ones(octaves.size), octaves], axis=1)
    inverse = np.linalg.inv(tone.shared_db2[np.ix_(told, told)] + BAND_DB**2 * np.eye(octaves.size))
    normal = shapes.T @ inverse @ shapes
    normal[2, 2] += 1.0 / TILT_DB**2
    known = np.linalg.inv(normal)
    heard = tone.db[:, told].T
    found = known @ shapes.T @ inverse @ heard
    left = heard[:, 0] - shapes @ found[:, 0]
    error = max(float(np.sqrt(known[0, 0])), float(spread(found[0][:, None])[0]))
    unexplained = float(left @ inverse @ left) + float((found[2, 0] / TILT_DB) ** 2)
    return Bell(freq_hz, float(found[0, 0]), error), unexplained
