"""Why a recording is no music with sections: a drone, wind, rain, an engine, speech.

Such sounds change too, and the best cut of what wanders is a cut. But in a song something is struck or the
harmony moves, which a drone lacks, and most of what else has no form has no beat and never comes back.
"""

from __future__ import annotations

import numpy as np

from .onsets import Onsets
from .running import Array

# How unlike the harmony of two units is, exceeded by one pair in ten. Real songs had 0.19 at least, composed
# ones 0.37, music of held chords 0.46; drones, strings, organs, wind and hum 0.11 at most.
MOVES = 0.13
# Growth in three of four bands at once, exceeded in one frame in a hundred, log power. Songs whose harmony
# moves by less than 0.3 had 0.6 at least, drums alone 1.3; what is named above 0.18 at most.
STRUCK = 0.3
# Where two of these hold, no beat, no harmony that moves, nothing that comes back, one start must be so sure.
# Of sixteen pieces of speech, drones and waves: 0.94 at most.
CLEAR = 0.95
ALL_NEW = 0.7  # nothing comes back where this share of letters or more are new: a free song has half


def why_formless(
    harmony: Array, onsets: Onsets, beat: bool, letters: tuple[str, ...], sure: tuple[float, ...]
) -> str | None:
    """The reason why what was found are no sections, or None.

    harmony: how alike that of the units is, (units, units). sure: of each start but the first.
    """
    moves, clear = movement(harmony) >= MOVES, max(sure, default=0.0) >= CLEAR
    returns = len(letters) == 1 or len(set(letters)) < ALL_NEW * len(letters)
    if not moves and strokes(onsets) < STRUCK and not (clear and returns):
        return "its harmony hardly moves, and hardly anything is struck"
    speaks = (
        (not beat, "it has no beat"),
        (not moves, "its harmony hardly moves"),
        (not returns, "nothing in it comes back"),
    )
    against = [reason for so, reason in speaks if so]
    return None if clear or len(against) < 2 else f"{', '.join(against)}, and no change is clear"


def movement(harmony: Array) -> float:
    """How unlike the harmony of units is that differ much: 0 for one chord throughout."""
    pairs = harmony[np.triu_indices(len(harmony), 1)]
    return 1.0 - float(np.percentile(pairs, 10)) if len(pairs) else 0.0


def strokes(onsets: Onsets) -> float:
    """How much the spectrum grows in three bands at once where it grows most: beating hardly does."""
    return float(np.percentile(np.sort(onsets.raw, axis=1)[:, 1], 99))
