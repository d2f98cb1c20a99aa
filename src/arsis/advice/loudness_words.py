"""How far a song's level goes, as a colleague would say it, and as a table."""

from __future__ import annotations

from arsis.render.ear import MOST_OF_A_STEP
from arsis.report.text import NOTHING, change, most_taken, number, percent, table

from .loudness import LoudnessAdvice
from .loudness_judge import MOST_OF_ATTACK_DB, Limit, LoudnessRow

# A dB past the stop is a move that somebody might make.
_FURTHER_DB = 1.0
# What rounds to all of a step, or to no change of attack, is not spoken of.
_WHOLE, _NO_CHANGE_DB = 0.995, -0.05
_HEADS = ("", "gain", "LUFS", "took dB", "time", "step kept", "of asked", "attack dB", "PLR", "past")


def said(advice: LoudnessAdvice) -> tuple[str, ...]:
    """One to three sentences."""
    found, present = advice.found, advice.present
    if found is None or present is None:
        return (
            "There is no loudness to advise on: the song is silent, or too quiet or too short to have one.",
        )
    sentences = [_where(advice, found)]
    if found.gain_db < present.gain_db and advice.stopped_by not in (None, "gain"):
        now = f"{_decibels(present.gain_db)} and {number(present.integrated_lufs)} LUFS"
        sentences.append(f"The plan is past that, at {now}: there {_price(present)}.")
    elif advice.stopped_by not in (None, "ceiling", "gain"):
        sentences += _further(advice, found)
    elif found.took_max_db > 0.0:
        still = "" if found.within else ", which is past the limits still"
        sentences.append(f"There {_price(found)}{still}.")
    return tuple(sentences)


def loudness_table(advice: LoudnessAdvice) -> str:
    """The gains around the one that was found, and the present one; empty where nothing can be said."""
    if not advice.rows:
        return ""
    marks = {advice.present_gain_db: "now"}
    if advice.gain_db is not None:
        marks[advice.gain_db] = "now, and here" if advice.gain_db in marks else "here"
    rows = [
        (
            marks.get(row.gain_db, ""),
            _gain(row.gain_db),
            number(row.integrated_lufs),
            _in(number(row.took_max_db), row.took_max_in),
            percent(row.took_share),
            _in(_share(row.step_kept), row.step_kept_into if _lost(row.step_kept, _WHOLE) else None),
            _in(_share(row.asked_kept), row.asked_kept_into if _lost(row.asked_kept, _WHOLE) else None),
            _in(
                change(row.attack_change_db),
                row.attack_change_in if _lost(row.attack_change_db, _NO_CHANGE_DB) else None,
            ),
            number(row.plr_db),
            ", ".join(row.broken) or NOTHING,
        )
        for row in advice.rows
    ]
    return table(_HEADS, rows)


def _where(advice: LoudnessAdvice, found: LoudnessRow) -> str:
    lufs, gain = f"{number(found.integrated_lufs)} LUFS", _decibels(found.gain_db)
    into = "into the limiter" if advice.most_db is not None else "of gain"
    if advice.reached:
        if found.gain_db == advice.present_gain_db:
            return f"{lufs} is what it has already, at {gain} {into}."
        way = "down from now" if found.gain_db < advice.present_gain_db else "up from now"
        moved = number(abs(found.gain_db - advice.present_gain_db), 2)
        rests = ", and the limiter rests" if advice.most_db is not None and found.took_max_db == 0.0 else ""
        return f"{lufs} is reached at {gain} {into}, {moved} dB {way}{rests}."
    wanted = ""
    if advice.wanted_lufs is not None:
        near = number(advice.wanted_lufs) == number(found.integrated_lufs)
        lufs = f"{number(found.integrated_lufs, 2 if near else 1)} LUFS"
        wanted = f"{number(advice.wanted_lufs, 2 if near else 1)} LUFS is out of reach; "
    if advice.stopped_by is None:
        return f"{wanted}{lufs} at {gain} {into} is as near as it comes."
    return f"{wanted}{lufs} is as far as it goes: past {gain} {_reason(advice, advice.stopped_by)}."


def _reason(advice: LoudnessAdvice, limit: Limit) -> str:
    place = advice.stopped_in or "one section"
    reasons: dict[Limit, str] = {
        "most_db": f"the limiter takes more than {number(advice.most_db)} dB in {place}",
        "step": f"the step into {place} keeps less than {percent(1.0 - MOST_OF_A_STEP)}",
        "asked": f"the limiter takes over {percent(MOST_OF_A_STEP)} of what the plan asks into {place}",
        "attack": f"the attack of {place} loses more than {number(MOST_OF_ATTACK_DB)} dB",
        "ceiling": f"its true peak passes {number(advice.ceiling_dbtp)} dBTP, and no limiter holds it",
        "gain": "the gain of a plan goes no further",
    }
    return reasons[limit]


def _further(advice: LoudnessAdvice, found: LoudnessRow) -> list[str]:
    """What going on would cost: to the loudness that is wanted, or by a dB."""
    past = [row for row in advice.rows if row.gain_db > found.gain_db]
    if not past:
        return []
    wanted = advice.wanted_lufs
    if wanted is not None:
        row = next((row for row in past if row.integrated_lufs >= wanted), past[-1])
    else:
        row = next((row for row in past if row.gain_db >= found.gain_db + _FURTHER_DB), past[-1])
    further = f"{number(row.gain_db - found.gain_db)} dB further it has {number(row.integrated_lufs)} LUFS"
    return [f"{further}; there {_price(row)}."]


def _price(row: LoudnessRow) -> str:
    """What a gain costs, in words."""
    if "ceiling" in row.broken:
        return f"its true peak is {change(row.true_peak_dbtp)} dBTP"
    if row.took_max_in is None:
        return "the limiter rests"
    parts = [f"the limiter takes {most_taken(row.took_max_db)} ({row.took_max_in})"]
    if _lost(row.step_kept, _WHOLE):
        parts.append(f"the step into {row.step_kept_into} keeps {_share(row.step_kept)}")
    if "asked" in row.broken:
        parts.append(f"of what the plan asks into {row.asked_kept_into} {_share(row.asked_kept)} is left")
    if row.attack_change_db is not None and _lost(row.attack_change_db, _NO_CHANGE_DB):
        parts.append(f"the attack of {row.attack_change_in} loses {number(-row.attack_change_db)} dB")
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"


def _share(kept: float | None) -> str:
    """What is left; a step that has turned over has nothing left."""
    return NOTHING if kept is None else percent(max(0.0, kept))


def _lost(figure: float | None, untouched: float) -> bool:
    return figure is not None and figure < untouched


def _in(figure: str, place: str | None) -> str:
    return figure if place is None else f"{figure} {place}"


def _gain(gain_db: float) -> str:
    """To the hundredth where it is one."""
    return change(gain_db, 1 if round(gain_db, 1) == gain_db else 2)


def _decibels(gain_db: float) -> str:
    return f"{_gain(gain_db)} dB"
