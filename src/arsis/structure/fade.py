"""A fade-out taken back, so that the last refrain is heard as the refrain that it is."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from .features import FRAME_S, SIDE_S, Features
from .onsets import Onsets
from .running import Array, power_db, running_mean

LOOK_S = 3.0  # levels are means over so much: bars do not count as ups and downs
SHORTEST_S, END_S = 6.0, 3.0  # the least that falls evenly, and what is left out of it at the end
UPS_DB, STEEP_DB = 0.7, 4.0  # the most that a second may be louder or softer than the one before
FALLING, FALLS_DB = 0.9, 0.1  # so many of the seconds fall, by at least so much
STRUCK = 0.4  # of the onsets before, as many there still are: else it is a last chord that rings
MOST_DB = 40.0  # further down it is noise that would be raised


def without_fade(features: Features, onsets: Onsets) -> Features | None:
    """The same, levelled through the fade at the end; None where there is none."""
    level_db = power_db(running_mean(features.loudness, round(LOOK_S / FRAME_S)), 1e-10)
    start = _start(level_db)
    if start is None or not _still_struck(onsets, start):
        return None
    gain_db = np.clip(level_db[start] - level_db, 0.0, MOST_DB)
    gain_db[:start] = 0.0
    gain = (10.0 ** (gain_db / 10.0)).astype(np.float32)
    count = len(features.side_bands)
    at = np.minimum(np.round(np.arange(count) * (SIDE_S / FRAME_S)).astype(int), len(gain) - 1)
    return replace(
        features,
        mel=features.mel * gain[:, None],
        bands=features.bands * gain[:, None],
        loudness=features.loudness * gain,
        side_bands=features.side_bands * gain[at, None],
    )


def _start(level_db: Array) -> int | None:
    """The frame from which the level falls evenly until the end."""
    second = round(1.0 / FRAME_S)
    points = level_db[::second]
    falls = np.flatnonzero(np.diff(points) > UPS_DB)
    first = int(falls[-1]) + 1 if len(falls) else 0
    rest = points[first:]
    first += int(np.flatnonzero(rest >= rest.max() - 1.0)[-1])
    falling = -np.diff(points[first : len(points) - round(END_S)])
    if len(falling) < SHORTEST_S:
        return None
    even = (falling > FALLS_DB).mean() >= FALLING and falling.max() <= STEEP_DB
    return first * second if even else None


def _still_struck(onsets: Onsets, start: int) -> bool:
    stop = len(onsets.raw) - round(END_S / FRAME_S)
    before = onsets.raw[max(start - round(8.0 / FRAME_S), 0) : start].mean()
    return bool(onsets.raw[(start + stop) // 2 : stop].mean() > STRUCK * before)
