"""Tone by what sounds much alike in both kinds: less is seen, less surely, than by strokes that are the same.

Limits: docs/advise.md.
"""

from __future__ import annotations

from arsis.measure.alike.hump import hump_at, hump_between
from arsis.measure.alike.transfer import Transfer
from arsis.report.text import change, percent

from .pair import Pair
from .tone import EDGE_HZ, LEAST_BRIGHTER_DB, LOW_HZ, ToneFound, ToneWhat, near, outside

BEYOND = 1.4  # half an octave further is looked: what is strongest there is a tilt, or somebody else's
# How far refrains stand apart from verses on balanced songs, and how much further it takes to be spoken of.
USUAL_LOUD_LOW_DB = 0.4
LEAST_LOW_DB, LEAST_EDGE_DB = 1.2, 1.1
# The low end of the quieter sections is usually left as it was mixed (DESIGN 9: common practice, no source).
LEAST_QUIET_LOW_DB = 1.4
AGREES_DB = 0.3  # of the two views of the low end, each has to say at least so much of the same
# Of a planted fault, how much has to be seen before anything is said; and which of them tells of what.
LEAST_SEEN, LEAST_SEEN_LOW = 0.45, 0.35
MOST_SEEN_LOW = 0.7  # the bell at 240 Hz, which goes the other way, adds to what is seen at 70 Hz
LOW, _, EDGE = range(3)
# Kinds that have less of their sound in common are not compared in tone: runs then find what they like.
LEAST_ALIKE = 0.6


def tone_by_sounds(pair: Pair, what: ToneWhat, cut_db: float) -> ToneFound | str:
    """What stands apart, or in words that nothing does. cut_db: what the step lacks already, lows and all."""
    between = pair.between
    why = untold(between, what)
    if why or between is None:
        return why
    return _low_end(pair, between, cut_db) if what is ToneWhat.LOW_END else _edge(between)


def untold(between: Transfer | None, what: ToneWhat) -> str:
    """Why nothing can be told, in words; empty where something can."""
    if what is ToneWhat.BODY:  # arrangements differ there by as much as faults do
        return "body: nothing can be told without strokes that are the same"
    if between is None:
        return f"{what.word}: not compared, too few struck sounds"
    if between.alike < LEAST_ALIKE:
        return f"{what.word}: not compared, under {percent(LEAST_ALIKE)} of their sound is the same"
    seen, least = _seen(between, what), LEAST_SEEN_LOW if what is ToneWhat.LOW_END else LEAST_SEEN
    if seen < least:
        return f"{what.word}: nothing can be told; of a fault planted there {percent(max(0.0, seen))} is seen"
    return ""


def _seen(between: Transfer, what: ToneWhat) -> float:
    """Of a planted fault, how much is seen."""
    return min(between.found[LOW], MOST_SEEN_LOW) if what is ToneWhat.LOW_END else between.found[EDGE]


def _low_end(pair: Pair, between: Transfer, cut_db: float) -> ToneFound | str:
    """Two views have to agree: the shared sounds' tone, and how loud the lows of the loudest moments are."""
    tone_db = hump_at(between.tone_db, LOW_HZ).size_db / _seen(between, ToneWhat.LOW_END)
    loud_db = between.low_db - USUAL_LOUD_LOW_DB + cut_db
    size_db = 0.5 * (tone_db + loud_db)
    agree = min(abs(tone_db), abs(loud_db)) >= AGREES_DB and tone_db * loud_db > 0.0
    least_db = LEAST_QUIET_LOW_DB if pair.lacks_in_quieter(size_db, cut_db) else LEAST_LOW_DB
    if not agree or abs(size_db) < least_db:
        return f"low end (below 110 Hz): tone {change(tone_db)} dB, loudest moments {change(loud_db)} dB"
    return ToneFound(LOW_HZ, size_db, least_db, 3.0, 0.6, 0.9)


def _edge(between: Transfer) -> ToneFound | str:
    """A rise between two frequencies."""
    low_hz, high_hz = EDGE_HZ
    found = hump_between(between.tone_db, low_hz / BEYOND, high_hz * BEYOND)
    size_db = found.size_db / _seen(between, ToneWhat.EDGE)
    least_db = LEAST_BRIGHTER_DB if size_db > 0.0 else LEAST_EDGE_DB
    if outside(found.freq_hz, EDGE_HZ) or abs(size_db) < least_db:
        return near(ToneWhat.EDGE, found.freq_hz, size_db, EDGE_HZ)
    return ToneFound(found.freq_hz, size_db, least_db, 2.5, 0.6, 0.95)
