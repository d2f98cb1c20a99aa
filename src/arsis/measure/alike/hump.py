"""How far a curve over TONE_HZ rises or dips at a place, as a bell would."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from arsis.measure.shapes import bell_db

from .scale import OCTAVES, TONE_HZ, Floats

ROUNDS = 8
OUTLIER_DB = 0.6  # what lies further from the fit counts the less (Huber, Robust Statistics, 1981, weights)
PER_OCTAVE = 12


@dataclass(frozen=True, slots=True)
class Hump:
    """size_db: negative for a dip; the median of the runs."""

    freq_hz: float
    size_db: float


def hump_at(curves_db: Floats, freq_hz: float) -> Hump:
    """A bell at a frequency, beside a level, fitted to each curve; curves_db: (runs, bands)."""
    sizes = [_fitted(curve, freq_hz)[0] for curve in curves_db]
    return Hump(freq_hz, float(np.median(sizes)))


def hump_between(curves_db: Floats, low_hz: float, high_hz: float) -> Hump:
    """The bell between two frequencies that explains most of the runs' median curve."""
    count = round(PER_OCTAVE * np.log2(high_hz / low_hz)) + 1
    middle = np.median(curves_db, axis=0)
    places = np.geomspace(low_hz, high_hz, count)
    left = [_fitted(middle, float(freq_hz))[1] for freq_hz in places]
    return hump_at(curves_db, float(places[int(np.argmin(left))]))


def _fitted(curve_db: Floats, freq_hz: float) -> tuple[float, float]:
    """The bell's size in dB, and what is left of the curve, both with outliers held down."""
    shapes = np.stack([0.5 * bell_db(TONE_HZ, freq_hz, 2.0), np.ones(TONE_HZ.size)], axis=1)
    weight = OCTAVES.copy()
    for _ in range(ROUNDS):
        root = np.sqrt(weight)
        found = np.linalg.lstsq(shapes * root[:, None], curve_db * root, rcond=None)[0]
        away = np.abs(curve_db - shapes @ found)
        weight = OCTAVES / np.maximum(1.0, away / OUTLIER_DB)
    return float(found[0]), float(np.sum(weight * away**2))
