"""Tone: low end, body and edge of what sounds in both kinds of section.

Of low end and body, the kind with less is the weak one; of edge, the kind with more (common practice, no
source: body is missed where it is less, edge is heard where it is more).
"""

from __future__ import annotations

from arsis.report.text import number

from .evidence import Evidence
from .finding import between
from .pair import Pair
from .tone import ToneFound, ToneWhat, place
from .tone_sounds import tone_by_sounds, untold
from .tone_spectra import edge_by_spectra

QUIETER_SURE = -0.2  # the low end of the quieter kind is usually left as it was mixed


def judge_tone(pair: Pair, cut_db: float) -> tuple[Evidence | str, ...]:
    """Low end, body and edge. cut_db: what the step lacks already, lows and all."""
    told = pair.by_strokes.told
    return tuple(_judged(pair, what, _found(pair, what, told.get(what), cut_db), cut_db) for what in ToneWhat)


def _found(pair: Pair, what: ToneWhat, by_strokes: ToneFound | str | None, cut_db: float) -> ToneFound | str:
    """An edge may also lie in what is sung and bowed: where the strokes have none, the rest is heard too.

    Where neither can tell, it is looked for in the spectra.
    """
    if by_strokes is None:
        if what is ToneWhat.EDGE and (why := untold(pair.between, what)):
            return edge_by_spectra(pair, why)
        return tone_by_sounds(pair, what, cut_db)
    if what is ToneWhat.EDGE and isinstance(by_strokes, str):
        by_sounds = tone_by_sounds(pair, what, cut_db)
        return by_sounds if isinstance(by_sounds, ToneFound) else by_strokes
    return by_strokes


def _judged(pair: Pair, what: ToneWhat, found: ToneFound | str, cut_db: float) -> Evidence | str:
    if isinstance(found, str):
        return found
    less, more = pair.weak(found.size_db)
    size_db = number(abs(found.size_db))
    sure = between(abs(found.size_db), found.least_db, found.full_db, found.least, found.most)
    if what is ToneWhat.EDGE:
        says = f"Around {place(found.freq_hz)} {more.named} have {size_db} dB more than {less.named}, "
        return _evidence(what, more.kind, less.kind, more.sections, found, says + f"{found.heard}.", sure)
    if what is ToneWhat.BODY:
        says = f"Around {place(found.freq_hz)} {less.named} have {size_db} dB less than {more.named}, "
        return _evidence(what, less.kind, more.kind, less.sections, found, says + f"{found.heard}.", sure)
    says = f"Below about 110 Hz {less.named} have {size_db} dB less than {more.named}, level aside."
    if pair.lacks_in_quieter(found.size_db, cut_db):
        says += " They are the quieter ones: filling them takes away from the growth."
        sure += QUIETER_SURE
    return _evidence(what, less.kind, more.kind, less.sections, found, says, sure)


def _evidence(
    what: ToneWhat,
    kind: str,
    against: str,
    sections: tuple[str, ...],
    found: ToneFound,
    says: str,
    sure: float,
) -> Evidence:
    return Evidence(
        what=what.value,
        kind=kind,
        against=against,
        sections=sections,
        size_db=abs(found.size_db) if what is ToneWhat.EDGE else -abs(found.size_db),
        freq_hz=found.freq_hz,
        says=says,
        sure=round(sure, 2),
    )
