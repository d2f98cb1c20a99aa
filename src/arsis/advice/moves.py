"""The least move that answers a piece of evidence, and the plan with it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from arsis.errors import DocumentError, PlanError
from arsis.plan.edit import add_processor, assign, place_of, set_pass, set_ride
from arsis.plan.model import Pass, Song
from arsis.report.text import change, number
from arsis.settings import Bell, LowShelf, Processor, Width

from .evidence import Evidence
from .pair import NAMES

MOST_DB = 1.5  # DESIGN 9: moves are tenths of a dB up to about 1.5 dB: common practice, no source
MOST_A_PASS = 3
SHELF_HZ = 110.0  # the low end is lifted as a whole: which drum or note it is, nobody can tell from here
BELL_Q = 1.0
PASSES = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """says: the move in words. passes: the passes it goes to, by section names; a ride goes to none.

    db: its size. left_db: what of the evidence it leaves, since it goes no further than it may.
    """

    says: str
    sections: tuple[str, ...]
    passes: tuple[str, ...]
    ride_db: float | None
    processor: Processor | None
    db: float
    left_db: float


def move_for(song: Song, evidence: Evidence, most_db: float = MOST_DB) -> tuple[Move, Song] | str:
    """The move, and the song with it; or why there is none.

    A lost attack has none: compressors and bells that rise with the hits gave back 0.2 dB of 1.5 at most
    (docs/advise.md). Only these sections are touched: where others share their pass, they get their own.
    """
    if evidence.what == "attack":
        return "No small move brings it back."
    db = round(max(-most_db, min(most_db, -evidence.size_db)), 1)
    left_db = max(0.0, round(abs(evidence.size_db) - abs(db), 1))
    if evidence.what == "step":
        return _ride(song, evidence, db, left_db)
    if any(song.pass_[song.section[place_of(song, name)].pass_].print for name in evidence.sections):
        return "It was printed elsewhere: no move from here."
    processor = _processor(evidence, db)
    moved, passes = _treated(song, evidence, processor)
    says = f"{_words(processor, db)} in {_listed(evidence.sections)}"
    move = Move(
        says=says, sections=evidence.sections, passes=passes, ride_db=None,
        processor=processor, db=db, left_db=left_db,
    )  # fmt: skip
    return move, moved


def _ride(song: Song, evidence: Evidence, db: float, left_db: float) -> tuple[Move, Song] | str:
    moved = song
    for name in evidence.sections:
        before = song.section[place_of(song, name)].ride_db
        try:
            moved = set_ride(moved, name, round(before + db, 2))
        except (DocumentError, PlanError):
            return (
                f"The ride of {name} stands at {change(before)} dB: there is no room for {change(db)} more."
            )
    says = f"ride {change(db)} dB on {_listed(evidence.sections)}"
    move = Move(
        says=says, sections=evidence.sections, passes=(), ride_db=db, processor=None, db=db, left_db=left_db
    )
    return move, moved


def _processor(evidence: Evidence, db: float) -> Processor:
    if evidence.what == "low_end":
        return LowShelf(freq_hz=SHELF_HZ, gain_db=db)
    if evidence.what == "width":
        return Width(side_db=db)
    assert evidence.freq_hz is not None  # body and edge have a place
    figures = 1 - len(str(int(evidence.freq_hz)))  # two figures of a frequency are all that is known of it
    return Bell(freq_hz=float(round(evidence.freq_hz, figures + 1)), gain_db=db, q=BELL_Q)


def _words(processor: Processor, db: float) -> str:
    if isinstance(processor, LowShelf):
        return f"low shelf {change(db)} dB at {processor.freq_hz:g} Hz"
    if isinstance(processor, Bell):
        return f"bell {change(db)} dB at {processor.freq_hz:g} Hz, Q {number(processor.q)}"
    return f"sides {change(db)} dB"


def _treated(song: Song, evidence: Evidence, processor: Processor) -> tuple[Song, tuple[str, ...]]:
    """The processor at the end of the sections' passes; a pass that others share is left to them."""
    moved, passes = song, []
    for name in _used(song, evidence.sections):
        inside = [one.name for one in song.section if one.pass_ == name and one.name in evidence.sections]
        if all(one.name in evidence.sections for one in song.section if one.pass_ == name):
            moved = add_processor(moved, name, processor)
            passes.append(name)
            continue
        own = next(letter for letter in _names() if letter not in moved.pass_)
        treatment = song.pass_[name]
        chain = (*treatment.chain, processor)
        moved = set_pass(moved, own, replace(treatment, note=_note(evidence, treatment), chain=chain))
        for section in inside:
            moved = assign(moved, section, own)
        passes.append(own)
    return moved, tuple(passes)


def _used(song: Song, sections: Sequence[str]) -> list[str]:
    return list(dict.fromkeys(song.section[place_of(song, name)].pass_ for name in sections))


def _names() -> list[str]:
    return [*PASSES, *(f"{first}{second}" for first in PASSES for second in PASSES)]


def _note(evidence: Evidence, before: Pass) -> str:
    about = NAMES[evidence.kind]
    return f"{about}: {before.note}" if before.chain and before.note else about


def _listed(names: Sequence[str]) -> str:
    return ", ".join(names[:-1]) + f" and {names[-1]}" if len(names) > 1 else names[0]
