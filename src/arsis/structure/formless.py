"""Why a recording is no music with sections: a drone, wind, rain, an engine, speech.

Such sounds change too, and the best cut of what wanders is a cut. But in a song something is struck or the
harmony moves, which a drone lacks, and most of what else has no form has no beat and never comes back.
"""

from __future__ import annotations

import numpy as np

from .onsets import Onsets
from .running import Array

# How unlike the harmony of two units is, exceeded by one pair in ten: it hardly moves, it stands still. Real
# songs had 0.16 at least, composed ones 0.37, held chords 0.46, drums alone 0.04; drones, organs, wind and
# hum 0.11 at most, four strings plucked in turn 0.20.
LITTLE, STILL = 0.22, 0.13
# Growth in three of four bands at once, exceeded in one frame in a hundred, log power. Songs whose harmony
# moves by less than 0.4 had 0.37 at least, drums alone 1.3; drones and the like 0.18 at most.
STRUCK = 0.3
# How sure one start must be where little else speaks for a form: drums alone had 0.98 at least, of sixteen
# pieces of speech, drones and waves 0.94 at most.
CLEAR = 0.95
ALL_NEW = 0.7  # nothing comes back where this share of letters or more are new: a free song has half


def why_formless(
    harmony: Array, onsets: Onsets, beat: bool, letters: tuple[str, ...], sure: tuple[float, ...]
) -> str | None:
    """The reason why there is no form: neither the sections nor the beat that were found; or None.

    harmony: how alike that of the units is, (units, units). sure: of each start but the first.
    """
    moved, clear = movement(harmony), max(sure, default=0.0) >= CLEAR
    returns = len(set(letters)) < ALL_NEW * len(letters)
    if moved < LITTLE and strokes(onsets) < STRUCK and not (clear and returns):
        return "its harmony hardly moves, and hardly anything is struck"
    if clear or not sure:
        return None
    if moved < STILL:
        return "its harmony stands still, and no change is clear"
    if not beat and not returns:
        return "it has no beat, nothing in it comes back, and no change is clear"
    return None


def movement(harmony: Array) -> float:
    """How unlike the harmony of units is that differ much: 0 for one chord throughout."""
    pairs = harmony[np.triu_indices(len(harmony), 1)]
    return 1.0 - float(np.percentile(pairs, 10)) if len(pairs) else 0.0


def strokes(onsets: Onsets) -> float:
    """How much the spectrum grows in three bands at once where it grows most: beating hardly does."""
    return float(np.percentile(np.sort(onsets.raw, axis=1)[:, 1], 99))
