"""What is said of step, width and attack reads as one would say it: no sign before a word that has one."""

from __future__ import annotations

import numpy as np
import pytest

from arsis.advice.evidence import Evidence
from arsis.advice.moves import Move
from arsis.advice.pair import KindLevel, Pair
from arsis.advice.predict_words import does
from arsis.advice.shape_level import judge_attack, judge_step, judge_width
from arsis.measure.alike.scale import TONE_HZ
from arsis.measure.alike.transfer import Transfer
from arsis.measure.figure import Figure
from arsis.measure.strokes.between import Strokes


def level(kind: str, loudness_lufs: float, peaks_db: float) -> KindLevel:
    return KindLevel(kind, (f"{kind} 1",), loudness_lufs, peaks_db, 3.0, -5.0, 10.0, None, np.zeros(31))


def pair(
    one: str = "chorus",
    step_lu: float = 2.0,
    peaks_db: tuple[float, float] = (9.3, 10.0),
    width_db: float | None = None,
    level_db: float = 0.5,
) -> Pair:
    """Made-up figures of one kind beside verses."""
    width = None if width_db is None else Figure(width_db, 0.1)
    between = Transfer(
        tone_db=np.zeros((2, TONE_HZ.size)), width_db=None, level_db=Figure(level_db, 0.1), alike=0.8,
        low_db=0.0, found=(1.0, 1.0, 1.0, 1.0),
    )  # fmt: skip
    return Pair(
        level(one, -14.0 + step_lu, peaks_db[0]),
        level("verse", -14.0, peaks_db[1]),
        Strokes(100, None, width),
        lambda: between,
    )


def says(judged: Evidence | str) -> str:
    return judged if isinstance(judged, str) else judged.says


@pytest.mark.parametrize(
    ("one", "width_db", "said"),
    [
        ("chorus", -0.2, "width: what sounds in both is 0.2 dB narrower in refrains"),
        ("chorus", 0.14, "width: what sounds in both is 0.1 dB wider in refrains"),
        ("chorus", -0.04, "width: what sounds in both is as wide in refrains"),
        ("bridge", -1.5, "width: what sounds in both is 1.5 dB narrower in bridges"),
        (
            "chorus",
            -1.5,
            "Beside verses, what sounds in both is 1.5 dB narrower in refrains; 0.1 dB wider is usual.",
        ),
    ],
)
def test_width_is_wider_or_narrower(one: str, width_db: float, said: str) -> None:
    assert says(judge_width(pair(one, width_db=width_db))) == said


def test_what_a_step_lacks_is_missing() -> None:
    said = says(judge_step(pair(step_lu=0.2, level_db=-1.0)))
    assert said.endswith("1.0 dB quieter in them: about 1.4 dB is missing.")


def test_less_attack_than_the_step_explains_is_told_with_its_figures() -> None:
    """0.81 × (7.5 − 10.0) + 0.51 × 2 − 0.35 = −1.4 (the formula and its weights: docs/advise.md)."""
    assert says(judge_attack(pair(step_lu=2.0, peaks_db=(7.5, 10.0)), 0.0)) == (
        "Peaks stand 7.5 dB over the loudness in refrains and 10.0 dB in verses: about 1.4 dB less attack "
        "than the step between them explains."
    )
    usual = judge_attack(pair(step_lu=2.0, peaks_db=(9.3, 10.0)), 0.0)
    assert usual == "attack: peaks stand 9.3 dB over the loudness in refrains, 10.0 dB in verses"


@pytest.mark.parametrize(("left_db", "said"), [(0.0, ""), (0.7, ", which leaves 0.7 dB of it")])
def test_a_move_that_goes_no_further_says_what_it_leaves(left_db: float, said: str) -> None:
    move = Move(
        says="sides +1.5 dB", sections=(), passes=(), ride_db=None, processor=None, db=1.5, left_db=left_db
    )
    assert does(move) == f"sides +1.5 dB{said}"
