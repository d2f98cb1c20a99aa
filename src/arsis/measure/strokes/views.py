"""Two views of the strokes that both kinds have: as they sound in the mix, and each by itself.

The first takes what is much the same, so that many strokes tell; the second only what is the very same, with
what sounds over it taken out.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .apart import LONG_S, MOVED_S, taken_apart
from .find import Group, Strictness, groups
from .sound import Onsets, Sound
from .stack import FOLDS, gains_db, has_both
from .waves import BEFORE_S, MID, SIDE, Floats, Indices, Waves, Window, cut, third_octaves

LOW_EDGES_HZ, HIGH_EDGES_HZ = third_octaves(39.7, 1_000.0), third_octaves(1_000.0, 16_000.0)
BANDS_HZ = np.concatenate([np.sqrt(edges[:-1] * edges[1:]) for edges in (LOW_EDGES_HZ, HIGH_EDGES_HZ)])
LOW_WINDOW, HIGH_WINDOW = Window(0.17), Window(0.045)
MUCH_THE_SAME = Strictness(alike=0.35, least_strength=0.05, member=0.6)
# Weaker groups are mixtures: strokes played harder and softer, or one note of many sounds.
THE_VERY_SAME = Strictness(alike=0.5, least_strength=0.4, member=0.7)
MOST_STROKES, MOST_STRUCK = 240, 320  # of a kind: so many bound the time that a long song takes
Flags = NDArray[np.bool_]


def as_it_sounds(sound: Sound, at: Onsets, is_one: Flags) -> list[Gained]:
    """By groups of much the same among what stands out, from all of the song."""
    fit = at.sharp & _fits(sound, at.frames)
    some = np.sort(np.concatenate([_spread(np.flatnonzero(fit & kind)) for kind in (is_one, ~is_one)]))
    starts, kinds = _begin(sound, at.frames[some]), is_one[some]
    frames = round(LOW_WINDOW.length_s * sound.rate_hz)
    found = groups(Waves(sound.rate_hz, cut(sound.mid_side, starts, frames)), MUCH_THE_SAME)
    waves = (
        Waves(sound.rate_hz, cut(sound.mid_side, starts[one.members] + one.late(sound.rate_hz), frames))
        for one in found
    )
    return _gained(found, waves, starts, kinds)


def by_itself(sound: Sound, at: Onsets, is_one: Flags) -> list[Gained]:
    """By groups of the very same among all that is struck, each without the others.

    The first strokes of each kind, since what sounds in between has to be known as well.
    """
    fit = _fits(sound, at.frames)
    some = np.sort(np.concatenate([np.flatnonzero(fit & kind)[:MOST_STRUCK] for kind in (is_one, ~is_one)]))
    starts, kinds = _begin(sound, at.frames[some]), is_one[some]
    frames = round(LOW_WINDOW.length_s * sound.rate_hz)
    found = groups(Waves(sound.rate_hz, cut(sound.mid_side, starts, frames)), THE_VERY_SAME)
    return _gained(found, taken_apart(sound, starts, found, frames), starts, kinds)


def _fits(sound: Sound, at: Indices) -> Flags:
    """Which have room around them, however they are moved."""
    before, after = (round(part_s * sound.rate_hz) for part_s in (BEFORE_S + MOVED_S, LONG_S + MOVED_S))
    return np.asarray((at >= before) & (at + after <= sound.mid_side.shape[1]))


def _begin(sound: Sound, at: Indices) -> Indices:
    return at - round(BEFORE_S * sound.rate_hz)


def _spread(places: Indices) -> Indices:
    """Of many as many as are enough, from first to last."""
    count = min(places.size, MOST_STROKES)
    return places[np.arange(count) * places.size // max(count, 1)]


def _folds(is_one: Flags) -> Indices:
    """Every FOLDSth stroke of a kind is of the same fold."""
    fold = np.zeros(is_one.size, np.int64)
    for kind in (True, False):
        inside = np.flatnonzero(is_one == kind)
        fold[inside] = np.arange(inside.size) % FOLDS
    return fold


@dataclass(frozen=True, slots=True)
class Gained:
    """Of one group, (1 + FOLDS, bands). starts: where its strokes begin."""

    starts: Indices
    mid_db: Floats
    side_db: Floats


def _gained(found: Sequence[Group], waves: Iterable[Waves], starts: Indices, is_one: Flags) -> list[Gained]:
    """Of groups that have enough of both kinds. waves: of each group."""
    fold = _folds(is_one)
    return [
        _gain(heard, starts[group.members], is_one[group.members], fold[group.members])
        for group, heard in zip(found, waves, strict=True)
        if has_both(is_one[group.members])
    ]


def _gain(waves: Waves, starts: Indices, is_one: Flags, fold: Indices) -> Gained:
    """Long windows for the lower bands, short ones for the higher."""

    def gains(window: Window, channel: int, edges_hz: Floats) -> Floats:
        part = window.spectra(waves, channel)
        return gains_db(part, part.edges(edges_hz), is_one, fold)

    mid_db, side_db = (
        np.concatenate(
            [gains(LOW_WINDOW, channel, LOW_EDGES_HZ), gains(HIGH_WINDOW, channel, HIGH_EDGES_HZ)], axis=1
        )
        for channel in (MID, SIDE)
    )
    return Gained(starts, mid_db, side_db)
