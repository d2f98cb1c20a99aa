"""The grid on which sections are looked for, and what each unit of it sounds like: a bar or half a bar."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike

from .bars import Bars
from .beats import follow
from .features import FRAME_S, PITCH_S, SIDE_S, Features
from .onsets import Onsets
from .running import Array, means_between, power_db, running_sum

LONGEST_S = 2.7  # a longer bar is halved
PULSELESS_S = 2.0  # units of a song without a pulse, about
LOOSE = 5.0  # how readily such a unit is longer or shorter, against the onset where it ends
CHANGE_S, CHANGE_LEAST = (
    1.0,
    0.1,
)  # what is compared for a change of harmony, and what an onset counts without one
MOST_UNITS = 1200  # a longer recording gets coarser units: matrices grow with the square
SOUNDING_DB = 55.0  # below the loudest frame this counts as before the start or after the end
EVEN_DB = 0.5  # spread of the units' mel levels below which there is one section; noise 0.2, songs over 5

# Slots into which a unit is cut, by feature.
MEL_SLOTS, HARMONY_SLOTS, BASS_SLOTS, RHYTHM_SLOTS = 8, 8, 4, 16


@dataclass(frozen=True, slots=True)
class Units:
    """edges_s (n + 1,): unit k lies between edges k and k + 1. Levels in dB.

    bands (n, 5), loudness (n,), width (n, 5), density (n, 4), mel (n, 40),
    mel_slots (n, 8, 40), harmony (n, 8, 12), bass (n, 4, 12), rhythm (n, 16, 4).
    """

    edges_s: Array
    bands: Array
    loudness: Array
    width: Array
    density: Array
    mel: Array
    mel_slots: Array
    harmony: Array
    bass: Array
    rhythm: Array

    @property
    def is_even(self) -> bool:
        """Whether nothing happens, but for one moment and the ends: noise, a tone, a loop, a click."""
        low, high = np.percentile(self.mel[1:-1], (15, 85), axis=0)
        return float((high - low).mean()) < EVEN_DB

    def __len__(self) -> int:
        return len(self.edges_s) - 1


def unit_edges_s(features: Features, onsets: Onsets, bars: Bars | None) -> Array:
    """Edges from 0 to the end of the file."""
    end = features.duration_s
    if bars is None or len(bars.down) < 8:
        edges = _by_changes(features, onsets)
    else:
        edges = _cover(features, _halved(bars))
    stride = -(-len(edges) // MOST_UNITS)
    return edges if stride == 1 else np.append(edges[:-1:stride], end)


def _by_changes(features: Features, onsets: Onsets) -> Array:
    """Edges on onsets where the harmony changes, about PULSELESS_S apart."""
    sums = running_sum(features.pitch[:, :12])
    row, reach = np.arange(len(sums) - 1), round(CHANGE_S / PITCH_S)
    ahead = sums[np.minimum(row + reach, len(row))] - sums[row]
    behind = sums[row] - sums[np.maximum(row - reach, 0)]
    sizes = np.linalg.norm(ahead, axis=1) * np.linalg.norm(behind, axis=1)
    change = 1.0 - (ahead * behind).sum(axis=1) / (sizes + 1e-9)
    frame_s = np.arange(len(onsets.curve)) * FRAME_S
    curve = onsets.curve * (CHANGE_LEAST + np.interp(frame_s, row * PITCH_S, change))
    periods = np.full(len(curve), PULSELESS_S / FRAME_S)
    inner = follow(curve, periods, LOOSE) * FRAME_S
    inner = inner[(inner > 0.5 * PULSELESS_S) & (inner < features.duration_s - 0.5 * PULSELESS_S)]
    edges = [0.0]
    for stop in [*inner.tolist(), features.duration_s]:
        count = max(round((stop - edges[-1]) / PULSELESS_S), 1)  # evenly where nothing is struck
        edges += np.linspace(edges[-1], stop, count + 1)[1:].tolist()
    return np.array(edges)


def _halved(bars: Bars) -> Array:
    down = bars.downbeats_s
    bar = float(np.median(np.diff(down)))
    if bar <= LONGEST_S:
        return down
    middle = np.searchsorted(bars.beats_s, down[:-1] + bar / 2.0 - 0.1)
    both = np.sort(np.concatenate([down, bars.beats_s[np.minimum(middle, len(bars.beats_s) - 1)]]))
    return np.asarray(both[np.diff(both, prepend=-1.0) > 0.5])


def _cover(features: Features, down: Array) -> Array:
    """Fill missed bars evenly, go on to both ends of what sounds, and close at the ends of the file."""
    end = features.duration_s
    length = float(np.median(np.diff(down)))
    level = power_db(features.loudness, 1e-10)
    sounding = np.flatnonzero(level > level.max() - SOUNDING_DB) * FRAME_S
    parts = [down[:1]]
    for start, stop in pairwise(down):
        count = max(round((stop - start) / length), 1)
        parts.append(np.linspace(start, stop, count + 1)[1:])
    before = np.arange(down[0] - length, sounding[0] - 0.5 * length, -length)[::-1]
    after = np.arange(down[-1] + length, sounding[-1] - 0.35 * length, length)
    inner = np.concatenate([before, *parts, after])
    inner = np.maximum(inner[(inner > -length) & (inner < end - 0.6 * length)], 0.0)
    return np.unique(np.concatenate([inner, [end]]))


def describe_units(features: Features, onsets: Onsets, edges_s: Array) -> Units:
    """Mean features of each unit, and their course within it."""
    mid = means_between(features.bands, FRAME_S, edges_s)
    side = means_between(features.side_bands, SIDE_S, edges_s)
    share = np.clip(side / (mid + side + 1e-9), 1e-4, 1.0 - 1e-4)
    density = means_between(onsets.raw, FRAME_S, edges_s)
    return Units(
        edges_s=edges_s,
        bands=power_db(mid + side, 1e-8),
        loudness=power_db(means_between(features.loudness, FRAME_S, edges_s), 1e-8),
        width=5.0 * np.log10(share / (1.0 - share)),
        density=4.0 * density / (density.mean(axis=0) + 1e-9),
        mel=power_db(means_between(features.mel, FRAME_S, edges_s), 1e-9),
        mel_slots=power_db(_slots(features.mel, FRAME_S, edges_s, MEL_SLOTS), 1e-9),
        harmony=_slots(features.pitch[:, :12], PITCH_S, edges_s, HARMONY_SLOTS),
        bass=_slots(features.pitch[:, 12:], PITCH_S, edges_s, BASS_SLOTS),
        rhythm=_slots(onsets.raw, FRAME_S, edges_s, RHYTHM_SLOTS),
    )


def _slots(rows: ArrayLike, step_s: float, edges_s: Array, count: int) -> Array:
    """Each unit cut into equal slots, (units, count, columns)."""
    inside = np.arange(count) / count
    starts = edges_s[:-1, None] + inside * np.diff(edges_s)[:, None]
    means = means_between(rows, step_s, np.append(starts.ravel(), edges_s[-1]))
    return means.reshape(len(edges_s) - 1, count, -1)
