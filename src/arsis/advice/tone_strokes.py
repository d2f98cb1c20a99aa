"""Tone by strokes that are the same in both kinds: whatever differs was done to them.

Limits: docs/advise.md.
"""

from __future__ import annotations

from arsis.measure.strokes.between import Strokes
from arsis.measure.strokes.treatment import Bell

from .tone import BODY_HZ, EDGE_HZ, LOW_HZ, ToneFound, ToneWhat, near, outside

BEYOND = 1.15  # a fifth of an octave further is looked: what is strongest there is somebody else's
KNOWN_DB = 0.6  # a bell's error: what is known less well is not judged by strokes
LEAST_DB = {ToneWhat.LOW_END: 0.9, ToneWhat.BODY: 0.9, ToneWhat.EDGE: 0.8}
_INSIDE_HZ = {ToneWhat.LOW_END: (LOW_HZ, LOW_HZ), ToneWhat.BODY: BODY_HZ, ToneWhat.EDGE: EDGE_HZ}


def tone_by_strokes(strokes: Strokes) -> dict[ToneWhat, ToneFound | str]:
    """What can be told. The surest is taken off the curve before the next is looked at, as it reaches far."""
    told: dict[ToneWhat, ToneFound | str] = {}
    while left := [what for what in ToneWhat if what not in told]:
        bells = {what: bell for what in left if (bell := _bell(strokes, what)) and bell.error_db < KNOWN_DB}
        if not bells:
            break
        what = max(bells, key=lambda one: abs(bells[one].size_db) / bells[one].error_db)
        told[what] = _told(what, bells[what])
        if isinstance(told[what], ToneFound):
            strokes = strokes.without(bells[what])
    return told


def _bell(strokes: Strokes, what: ToneWhat) -> Bell | None:
    low_hz, high_hz = _INSIDE_HZ[what]
    if what is ToneWhat.LOW_END:
        return strokes.bell_at(LOW_HZ)
    return strokes.bell_between(low_hz / BEYOND, high_hz * BEYOND)


def _told(what: ToneWhat, bell: Bell) -> ToneFound | str:
    inside_hz, least_db = _INSIDE_HZ[what], LEAST_DB[what]
    if outside(bell.freq_hz, inside_hz) or abs(bell.size_db) < least_db:
        return near(what, bell.freq_hz, bell.size_db, inside_hz)
    return ToneFound(bell.freq_hz, bell.size_db, least_db, 2.0, 0.7, 0.95)
