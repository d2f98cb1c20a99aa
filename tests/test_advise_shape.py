"""What is said of made-up figures: each view of the low end, and which kind is the quieter one."""

from __future__ import annotations

import numpy as np
import pytest

from arsis.advice.evidence import Evidence
from arsis.advice.pair import KindLevel, Pair
from arsis.advice.shape_tone import judge_tone
from arsis.measure.alike.hump import bell_db
from arsis.measure.alike.transfer import Figure, Transfer


def level(kind: str, loudness_lufs: float) -> KindLevel:
    return KindLevel(kind, (f"{kind} 1",), loudness_lufs, 4.0, 3.0, -5.0, 10.0, None)


def pair(refrains_lufs: float, low_tone_db: float, low_db: float, alike: float = 0.8) -> Pair:
    """Refrains beside verses at -14 LUFS, with a bell at 70 Hz in what sounds in both."""
    between = Transfer(
        tone_db=np.stack([bell_db(70.0, low_tone_db)] * 2),
        width_db=Figure(0.4, 0.1),
        level_db=Figure(0.5, 0.1),
        alike=alike,
        low_db=low_db,
        found=(0.7, 1.0, 1.0, 1.0),
    )
    return Pair(level("chorus", refrains_lufs), level("verse", -14.0), between)


def low_end(judged: tuple[Evidence | str, ...]) -> Evidence | None:
    return next((one for one in judged if isinstance(one, Evidence) and one.what == "low_end"), None)


@pytest.mark.parametrize(
    ("refrains_lufs", "cut_db", "tone_db", "low_db", "weak", "quieter"),
    [
        (-12.0, 0.0, -1.4, -1.6, "chorus", False),
        (-12.0, 0.0, 1.4, 2.4, "verse", True),
        (-13.9, 1.5, -1.4, -3.1, "chorus", False),  # held back: they should be the louder ones
        (-15.0, 0.0, -1.4, -1.6, "chorus", True),
    ],
)
def test_the_low_end_of_the_quieter_kind_is_told_with_a_word(
    refrains_lufs: float, cut_db: float, tone_db: float, low_db: float, weak: str, quieter: bool
) -> None:
    found = low_end(judge_tone(pair(refrains_lufs, tone_db, low_db), cut_db))
    assert found is not None
    assert found.kind == weak
    assert abs(found.size_db + 2.0) < 0.1  # both views say 2 dB
    assert ("the quieter ones" in found.says) is quieter


@pytest.mark.parametrize(
    ("tone_db", "low_db", "alike"), [(-1.4, 2.4, 0.8), (-1.4, 0.4, 0.8), (0.0, -1.6, 0.8), (-1.4, -1.6, 0.5)]
)
def test_two_views_have_to_agree_and_kinds_to_be_alike(tone_db: float, low_db: float, alike: float) -> None:
    assert low_end(judge_tone(pair(-12.0, tone_db, low_db, alike), 0.0)) is None
