"""Tone by strokes that are the same in both kinds: whatever differs was done to them.

Limits: docs/advise.md.
"""

from __future__ import annotations

from dataclasses import dataclass

from arsis.measure.strokes.between import Strokes
from arsis.measure.strokes.treatment import Hump

from .tone import BODY_HZ, EDGE_HZ, LEAST_BRIGHTER_DB, LOW_HZ, ToneFound, ToneWhat, near, outside

BEYOND = 1.15  # a fifth of an octave further is looked: what is strongest there is somebody else's
KNOWN_DB, LEAST_KNOWN_DB = 0.75, 1.0  # errors: what is known less well is not left alone by it, or not told
ERRORS = 3.5  # so many a size has to reach where its error is over KNOWN_DB
LEAST_DB = {ToneWhat.LOW_END: 1.2, ToneWhat.BODY: 1.0, ToneWhat.EDGE: 1.0}
_INSIDE_HZ = {ToneWhat.LOW_END: (LOW_HZ, LOW_HZ), ToneWhat.BODY: BODY_HZ, ToneWhat.EDGE: EDGE_HZ}


@dataclass(frozen=True, slots=True)
class ToneTold:
    """told: what can be. left: the strokes with all that was found taken off."""

    told: dict[ToneWhat, ToneFound | str]
    left: Strokes


def tone_by_strokes(strokes: Strokes) -> ToneTold:
    """The surest is taken off the curve before the next is looked at, as it reaches far."""
    told: dict[ToneWhat, ToneFound | str] = {}
    while humps := {what: hump for what in ToneWhat if what not in told and (hump := _known(strokes, what))}:
        what = max(humps, key=lambda one: abs(humps[one].size_db) / humps[one].error_db)
        told[what] = _told(what, humps[what])
        if isinstance(told[what], ToneFound):
            strokes = strokes.without(humps[what])
    return ToneTold(told, strokes)


def _known(strokes: Strokes, what: ToneWhat) -> Hump | None:
    """What is strongest there, if it is known well enough to be told or to be left alone."""
    low_hz, high_hz = _INSIDE_HZ[what]
    hump = (
        strokes.low_end()
        if what is ToneWhat.LOW_END
        else strokes.bell_between(low_hz / BEYOND, high_hz * BEYOND)
    )
    if hump is None or hump.error_db >= LEAST_KNOWN_DB:
        return None
    large = abs(hump.size_db) >= ERRORS * hump.error_db and not outside(hump.freq_hz, (low_hz, high_hz))
    return hump if hump.error_db < KNOWN_DB or large else None


def _told(what: ToneWhat, hump: Hump) -> ToneFound | str:
    inside_hz = _INSIDE_HZ[what]
    brighter = what is ToneWhat.EDGE and hump.size_db > 0.0
    least_db = LEAST_BRIGHTER_DB if brighter else LEAST_DB[what]
    if outside(hump.freq_hz, inside_hz) or abs(hump.size_db) < least_db:
        return near(what, hump.freq_hz, hump.size_db, inside_hz)
    return ToneFound(hump.freq_hz, hump.size_db, least_db, least_db + 1.0, 0.7, 0.95)
