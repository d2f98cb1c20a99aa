"""The difference of two recordings of one thing, lined up and level-matched.

The level match is the gain that leaves the least difference: <a, b> / <b, b> (least squares). What is
left is measured against the reference: overall, band by band, and where along the song it is largest.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from arsis.audio import BLOCK_FRAMES, Span
from arsis.io.read import SoundReader
from arsis.measure.alignment import Alignment
from arsis.measure.spectrum import BANDS_HZ, BROADBAND_HZ, Spectrum, SpectrumMeter
from arsis.units import power_to_db

from .printed import AlignedSound, lined_up
from .progress import Progress, unseen

PLACES = 5  # so many of the largest differences are named
PLACE_S = 1.0


@dataclass(frozen=True, slots=True)
class BandDifference:
    """change_db: level of b against a after the match. difference_db: what is left, against a's level."""

    change_db: float
    difference_db: float


@dataclass(frozen=True, slots=True)
class Place:
    """A second of the song and how large the difference is there, against the whole song's level in a."""

    start_s: float
    end_s: float
    difference_db: float


@dataclass(frozen=True, slots=True)
class Difference:
    """gain_db was put on b to match a. difference_db is minus infinity where nothing is left."""

    alignment: Alignment
    gain_db: float
    difference_db: float
    bands: dict[str, BandDifference]
    places: tuple[Place, ...]


def difference(a: SoundReader, b: SoundReader, progress: Progress = unseen) -> Difference:
    """How b differs from a. Raises NotSameRecordingError where they are not one recording."""
    other = lined_up(b, a)
    gain = _least_squares(a, other)
    info = a.info
    whole = [Span(0, info.frames)]
    meters = [SpectrumMeter(info.rate_hz, info.channels, whole) for _ in range(3)]
    seconds = np.zeros(int(np.ceil(info.frames / (PLACE_S * info.rate_hz))))
    total = left = 0.0
    done = 0
    a.seek(0)
    # A block of just one place, so that its difference is one sum.
    while (first := a.read(round(PLACE_S * info.rate_hz))).shape[1]:
        second = other(done, first.shape[1]) * gain
        rest = second - first
        for meter, block in zip(meters, (first, second, rest), strict=True):
            meter.add(block)
        seconds[round(done / info.rate_hz / PLACE_S)] = np.mean(rest * rest)
        total, left = total + float(np.sum(first * first)), left + float(np.sum(rest * rest))
        done += first.shape[1]
        progress(done, info.frames)
    spectra = [meter.spectra()[0] for meter in meters]
    return Difference(
        alignment=other.alignment,
        gain_db=power_to_db(gain * gain),
        difference_db=power_to_db(left / total) if total > 0.0 else -np.inf,
        bands=_bands(*spectra),
        places=_places(seconds, total / (info.frames * info.channels), info.frames / info.rate_hz),
    )


def _least_squares(a: SoundReader, other: AlignedSound) -> float:
    a.seek(0)
    across = power = 0.0
    done = 0
    while (first := a.read(BLOCK_FRAMES)).shape[1]:
        second = other(done, first.shape[1])
        done += first.shape[1]
        across += float(np.sum(first * second))
        power += float(np.sum(second * second))
    return across / power if power > 0.0 else 1.0


def _bands(first: Spectrum, second: Spectrum, rest: Spectrum) -> dict[str, BandDifference]:
    edges = [BROADBAND_HZ, *BANDS_HZ.values()]
    a, b, d = (spectrum.band_powers(edges)[1:] for spectrum in (first, second, rest))
    return {
        name: BandDifference(_ratio_db(b[i], a[i]), _ratio_db(d[i], a[i])) for i, name in enumerate(BANDS_HZ)
    }


def _ratio_db(power: float, of: float) -> float:
    return power_to_db(float(power / of)) if of > 0.0 else -np.inf


def _places(seconds: np.ndarray, mean_power: float, duration_s: float) -> tuple[Place, ...]:
    largest = np.argsort(-seconds, kind="stable")[:PLACES]
    return tuple(
        Place(
            float(i * PLACE_S), min(float((i + 1) * PLACE_S), duration_s), _ratio_db(seconds[i], mean_power)
        )
        for i in sorted(largest)
        if seconds[i] > 0.0
    )
