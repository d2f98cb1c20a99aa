"""One kind of section against another: how what sounds in both of them differs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from arsis.measure.figure import Figure
from arsis.measure.shapes import bell_db

from .fit import Indices, Singles, Treatment, treatments
from .hump import hump_at
from .scale import FIRST_HZ, SIDE, SIDE_HZ, TONE, TONE_HZ, Floats

MOST_MOMENTS = 240  # of a kind: so many bound the time that a long song takes
NO_SIDES = 1e-6  # of the mid: what lies below is the dither of a mono song, and no width
Runs = Sequence[Sequence[Treatment]]
# A fault that is planted to see what of it is seen: in the low end, the body and the edge, and in the sides.
# Bells that go both ways, so that they are no change of level.
PROBES_HZ, PROBE_DB = (70.0, 240.0, 3_200.0), 2.0
FAULT_DB = np.add.reduce(
    [bell_db(TONE_HZ, at_hz, way * PROBE_DB) for at_hz, way in zip(PROBES_HZ, (-1, 1, -1), strict=True)]
)
LOUD = 0.9  # the moments that tell how loud a band gets: the loudest tenth begins here
HAIR_S = 0.005  # a moment that begins so little before the down-beat is the down-beat's
LOW_HZ = (45.0, 112.0)


@dataclass(frozen=True, slots=True)
class Transfer:
    """Of `one` kind against the `other`, for what sounds in both.

    tone_db: (runs, bands) over TONE_HZ, each about its own mean. width_db: None where either is mono.
    level_db: how much louder the shared sounds get. alike: share of the sound that both kinds have, 0 to 1.
    low_db: how much louder the loudest moments are below 112 Hz, whatever sounds in them.
    found: of a fault that was planted to see, how much is seen, 0 to 1: bells at PROBES_HZ, then the sides.
    """

    tone_db: Floats
    width_db: Figure | None
    level_db: Figure
    alike: float
    low_db: float
    found: tuple[float, ...]


def transfer(powers: Singles, is_one: NDArray[np.bool_]) -> Transfer:
    """`one` kind's moments against the other's; powers: (moments, SIZE)."""
    some = np.sort(np.concatenate([_some(is_one), _some(~is_one)]))
    part, kind = powers[some], is_one[some].astype(np.int64)
    runs = treatments(part, kind, 2)
    tone_db, width_db = _tones_db(runs), _widths_db(runs)
    return Transfer(
        tone_db=tone_db,
        width_db=_figure(width_db) if _has_sides(powers[is_one]) and _has_sides(powers[~is_one]) else None,
        level_db=_figure([_level_db(one, other) for other, one in runs]),
        alike=float(np.median([_alike(one, other) for other, one in runs])),
        low_db=_low_db(powers, is_one),
        found=_found(treatments(_probed(part, kind), kind, 2), tone_db, width_db),
    )


def _tones_db(runs: Runs) -> Floats:
    return np.stack([one.tone_db - other.tone_db for other, one in runs])


def _widths_db(runs: Runs) -> list[float]:
    return [one.width_db - other.width_db for other, one in runs]


def _probed(powers: Singles, kind: Indices) -> Singles:
    """The same moments with a known fault in `one` kind."""
    side_db, first_db = (np.interp(np.log(at_hz), np.log(TONE_HZ), FAULT_DB) for at_hz in (SIDE_HZ, FIRST_HZ))
    fault = 10.0 ** (np.concatenate([FAULT_DB, side_db - PROBE_DB, first_db]) / 10.0)
    return np.where(kind[:, None] == 1, powers * fault.astype(np.float32), powers)


def _found(runs: Runs, tone_db: Floats, width_db: Sequence[float]) -> tuple[float, ...]:
    probed_db, planted_db = _tones_db(runs), FAULT_DB[np.newaxis]
    bells = [
        (hump_at(probed_db, at).size_db - hump_at(tone_db, at).size_db) / hump_at(planted_db, at).size_db
        for at in PROBES_HZ
    ]
    width = float(np.median(width_db) - np.median(_widths_db(runs))) / PROBE_DB
    return (*bells, width)


def _some(which: NDArray[np.bool_]) -> Indices:
    """Of a long song's moments, as many as are enough, from all of it."""
    places = np.flatnonzero(which)
    count = min(places.size, MOST_MOMENTS)
    return places[np.arange(count) * places.size // max(count, 1)]


def _has_sides(powers: Singles) -> bool:
    return float(powers[:, SIDE].sum()) > NO_SIDES * float(powers[:, TONE].sum())


def _figure(values: ArrayLike) -> Figure:
    array = np.asarray(values, np.float64)
    middle = float(np.median(array))
    # 1.4826: a normal spread from a median deviation; 1.2533: of a median against a mean.
    spread = 1.4826 * float(np.median(np.abs(array - middle)))
    return Figure(middle, 1.2533 * spread / float(np.sqrt(array.size)))


def _shares(one: Treatment) -> Floats:
    energy = one.energy.astype(np.float64)
    return np.asarray(energy / max(float(energy.sum()), 1e-30))


def _alike(one: Treatment, other: Treatment) -> float:
    return float(np.minimum(_shares(one), _shares(other)).sum())


def _level_db(one: Treatment, other: Treatment) -> float:
    """The middle one of the sounds' differences; a sound counts as far as both kinds have it."""
    weight = np.sqrt(_shares(one) * _shares(other))
    apart = 10.0 * np.log10((one.loud + 1e-9) / (other.loud + 1e-9))
    order = np.argsort(apart)
    reached = np.cumsum(weight[order])
    return float(apart[order][np.searchsorted(reached, 0.5 * reached[-1])])


def _low_db(powers: Singles, is_one: NDArray[np.bool_]) -> float:
    """Mean over the third octaves inside of how much louder their loud moments are."""
    low, high = LOW_HZ
    edges = low * 2.0 ** (np.arange(round(3.0 * np.log2(high / low)) + 1) / 3.0)
    tone = powers[:, TONE].astype(np.float64)
    apart = []
    for start, stop in pairwise(edges):
        level = tone[:, (start <= TONE_HZ) & (stop > TONE_HZ)].sum(axis=1)
        loud = [float(np.quantile(level[which], LOUD)) + 1e-30 for which in (is_one, ~is_one)]
        apart.append(10.0 * np.log10(loud[0] / loud[1]))
    return float(np.mean(apart))


def kinds_of(at_s: Floats, starts_s: Sequence[float], kinds: Sequence[str]) -> NDArray[np.str_]:
    """The kind of section that each onset begins in. starts_s: of the sections, rising."""
    place = np.searchsorted(np.asarray(starts_s), at_s + HAIR_S, side="right") - 1
    return np.asarray(kinds)[np.maximum(place, 0)]
