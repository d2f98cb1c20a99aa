"""What a move comes to, in words."""

from __future__ import annotations

from arsis.report.text import change, number

from .evidence import Evidence, What
from .moves import Move
from .predict import Figures, Predicted

OF = {
    "step": "step into them, LU:",
    "low_end": "low, dB:",
    "body": "low mid, dB:",
    "edge": "presence, dB:",
    "width": "width, dB:",
    "attack": "attack, dB:",
}


def does(move: Move) -> str:
    """The move, and what of the evidence it leaves."""
    return move.says + (f", which leaves {number(move.left_db)} dB of it" if move.left_db >= 0.1 else "")


def then(evidence: Evidence, one: Predicted) -> str:
    """The figure that the evidence is about, now and then, section by section; and the whole print."""
    pairs = [
        (_asked(evidence.what, section.now), _asked(evidence.what, section.then))
        for section in one.sections
        if section.name in evidence.sections
    ]
    told = [f"{change(before)} → {change(after)}" for before, after in pairs if None not in (before, after)]
    whole = f"{number(one.integrated_lufs)} LUFS, {number(one.true_peak_dbtp)} dBTP"
    return f"{OF[evidence.what]} {', '.join(told)}; {whole}"


def cost(one: Predicted) -> str:
    """What the limiter takes, PLR and attack, each with its change."""
    parts = [f"the limiter takes up to {number(one.took_max_db)} dB ({change(one.costs_took_db)})"]
    if one.plr_db is not None and one.costs_plr_db is not None:
        parts.append(f"PLR {number(one.plr_db)} dB ({change(-one.costs_plr_db)})")
    if one.costs_attack_db is not None:
        parts.append(f"attack {change(-one.costs_attack_db)} dB")
    return ", ".join(parts)


def _asked(what: What, figures: Figures) -> float | None:
    """The figure of a section that the move is about."""
    bands = figures.bands_db
    return {
        "step": figures.step_lu,
        "low_end": bands.low,
        "body": bands.low_mid,
        "edge": bands.presence,
        "width": figures.width_db,
        "attack": figures.attack_db,
    }[what]
