"""Tone: low end, body and edge of what sounds in both kinds of section.

Of low end and body, the kind with less is the weak one; of edge, the kind with more (common practice, no
source: body is missed where it is less, edge is heard where it is more). Limits: docs/advise.md.
"""

from __future__ import annotations

from arsis.measure.alike.hump import Hump, hump_at, hump_between
from arsis.report.text import change, number, percent

from .evidence import Evidence, What
from .finding import between
from .pair import KindLevel, Pair

# Places where each is heard (DESIGN 9: common practice, no source).
LOW_HZ, BODY_HZ, EDGE_HZ = 70.0, (140.0, 420.0), (2_000.0, 5_000.0)
BEYOND = 1.4  # half an octave further is looked: what is strongest there is a tilt, or somebody else's
# How far refrains stand apart from verses on balanced songs, and how much further it takes to be spoken of.
USUAL_LOUD_LOW_DB, USUAL_BODY_DB = 0.4, -0.2
LEAST_LOW_DB, LEAST_BODY_DB, LEAST_EDGE_DB = 1.2, 2.4, 1.1
# The low end of the quieter sections is usually left as it was mixed (DESIGN 9: common practice, no source).
LEAST_QUIET_LOW_DB = 1.4
AGREES_DB = 0.3  # of the two views of the low end, each has to say at least so much of the same
# Of a planted fault, how much has to be seen before anything is said; and which of them tells of what.
LEAST_SEEN, LEAST_SEEN_LOW = 0.45, 0.35
MOST_SEEN_LOW = 0.7  # the bell at 240 Hz, which goes the other way, adds to what is seen at 70 Hz
LOW, BODY, EDGE = range(3)
# Kinds that have less of their sound in common are not compared in tone: runs then find what they like.
LEAST_ALIKE = 0.6


def judge_tone(pair: Pair, cut_db: float) -> tuple[Evidence | str, ...]:
    """Low end, body and edge. cut_db: what the step lacks already, lows and all."""
    if pair.between.alike < LEAST_ALIKE:
        return (f"tone: not compared, under {percent(LEAST_ALIKE)} of their sound is the same",)
    return (_low_end(pair, cut_db), _body(pair), _edge(pair))


def _low_end(pair: Pair, cut_db: float) -> Evidence | str:
    """Two views have to agree: the shared sounds' tone, and how loud the lows of the loudest moments are."""
    seen = min(pair.between.found[LOW], MOST_SEEN_LOW)
    if seen < LEAST_SEEN_LOW:
        return _unseen("low end", seen)
    tone_db = hump_at(pair.between.tone_db, LOW_HZ).size_db / seen
    loud_db = pair.between.low_db - USUAL_LOUD_LOW_DB + cut_db
    size_db = 0.5 * (tone_db + loud_db)
    agree = min(abs(tone_db), abs(loud_db)) >= AGREES_DB and tone_db * loud_db > 0.0
    weak, other = pair.weak(size_db)
    quieter = weak is not (pair.one if pair.step_lu + cut_db > 0.0 else pair.other)
    least_db = LEAST_QUIET_LOW_DB if quieter else LEAST_LOW_DB
    if not agree or abs(size_db) < least_db:
        return f"low end (below 110 Hz): tone {change(tone_db)} dB, loudest moments {change(loud_db)} dB"
    less = f"{number(abs(size_db))} dB less than {other.named}"
    says = f"Below about 110 Hz {weak.named} have {less}, level aside."
    if quieter:
        says += " They are the quieter ones: filling them takes away from the growth."
    sure = between(abs(size_db), least_db, 3.0, 0.6, 0.9)
    return _tone("low_end", weak, other, -abs(size_db), LOW_HZ, says, sure - (0.2 if quieter else 0.0))


def _body(pair: Pair) -> Evidence | str:
    """A dip between 140 and 420 Hz."""
    seen = pair.between.found[BODY]
    if seen < LEAST_SEEN:
        return _unseen("body", seen)
    found = _found(pair, BODY_HZ)
    size_db = found.size_db / seen - USUAL_BODY_DB
    if _outside(found, BODY_HZ) or abs(size_db) < LEAST_BODY_DB:
        return _near("body", found, size_db, BODY_HZ)
    weak, other = pair.weak(size_db)
    less = f"{number(abs(size_db))} dB less than {other.named}"
    says = f"Around {_place(found.freq_hz)} {weak.named} have {less}, in what sounds in both."
    sure = between(abs(size_db), LEAST_BODY_DB, 3.5, 0.5, 0.9)
    return _tone("body", weak, other, -abs(size_db), found.freq_hz, says, sure)


def _edge(pair: Pair) -> Evidence | str:
    """A rise between 2 and 5 kHz."""
    seen = pair.between.found[EDGE]
    if seen < LEAST_SEEN:
        return _unseen("edge", seen)
    found = _found(pair, EDGE_HZ)
    size_db = found.size_db / seen
    if _outside(found, EDGE_HZ) or abs(size_db) < LEAST_EDGE_DB:
        return _near("edge", found, size_db, EDGE_HZ)
    other, strong = pair.weak(size_db)
    more = f"{number(abs(size_db))} dB more than {other.named}"
    says = f"Around {_place(found.freq_hz)} {strong.named} have {more}, in what sounds in both."
    sure = between(abs(size_db), LEAST_EDGE_DB, 2.5, 0.6, 0.95)
    return _tone("edge", strong, other, abs(size_db), found.freq_hz, says, sure)


def _found(pair: Pair, inside_hz: tuple[float, float]) -> Hump:
    low_hz, high_hz = inside_hz
    return hump_between(pair.between.tone_db, low_hz / BEYOND, high_hz * BEYOND)


def _outside(found: Hump, inside_hz: tuple[float, float]) -> bool:
    return not inside_hz[0] <= found.freq_hz <= inside_hz[1]


def _unseen(what: str, seen: float) -> str:
    return f"{what}: nothing can be told; of a fault planted there {percent(max(0.0, seen))} is seen"


def _near(what: str, found: Hump, size_db: float, inside_hz: tuple[float, float]) -> str:
    if _outside(found, inside_hz):
        low, high = (_place(freq_hz) for freq_hz in inside_hz)
        return f"{what}: nothing stands out between {low} and {high}"
    return f"{what}: at most {number(abs(size_db))} dB apart, around {_place(found.freq_hz)}"


def _place(freq_hz: float) -> str:
    """As one says it: two figures."""
    return f"{freq_hz / 1000.0:.1f} kHz" if freq_hz >= 1000.0 else f"{round(freq_hz, -1):.0f} Hz"


def _tone(
    what: What, kind: KindLevel, against: KindLevel, size_db: float, freq_hz: float, says: str, sure: float
) -> Evidence:
    return Evidence(
        what=what,
        kind=kind.kind,
        against=against.kind,
        sections=kind.sections,
        size_db=size_db,
        freq_hz=freq_hz,
        says=says,
        sure=round(sure, 2),
    )
