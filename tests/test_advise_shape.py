"""What is said of made-up figures: each view of the low end, and which kind is the quieter one."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from arsis.advice.evidence import Evidence
from arsis.advice.pair import KindLevel, Pair
from arsis.advice.shape import kinds_to_compare
from arsis.advice.shape_tone import judge_tone
from arsis.measure.alike.scale import TONE_HZ
from arsis.measure.alike.transfer import Transfer
from arsis.measure.figure import Figure
from arsis.measure.shapes import bell_db
from arsis.measure.spectrum import THIRD_OCTAVES
from arsis.measure.strokes.between import Strokes
from arsis.measure.strokes.solve import Solved
from arsis.measure.strokes.stack import FOLDS
from arsis.measure.strokes.views import BANDS_HZ
from tests.tolerances import STROKES_TONE_DB

NO_STROKES = Strokes(0, None, None)


THIRD_OCTAVES_HZ = np.asarray(THIRD_OCTAVES)


def level(kind: str, loudness_lufs: float, spectrum_db: NDArray[np.float64] | float = 0.0) -> KindLevel:
    third_octaves_db = np.full(THIRD_OCTAVES_HZ.size, -30.0) + spectrum_db
    return KindLevel(kind, (f"{kind} 1",), loudness_lufs, 4.0, 3.0, -5.0, 10.0, None, third_octaves_db)


def pair(refrains_lufs: float, low_tone_db: float, low_db: float, alike: float = 0.8) -> Pair:
    """Refrains beside verses at -14 LUFS, with a bell at 70 Hz in what sounds in both."""
    between = Transfer(
        tone_db=np.stack([bell_db(TONE_HZ, 70.0, low_tone_db)] * 2),
        width_db=Figure(0.4, 0.1),
        level_db=Figure(0.5, 0.1),
        alike=alike,
        low_db=low_db,
        found=(0.7, 1.0, 1.0, 1.0),
    )
    return Pair(level("chorus", refrains_lufs), level("verse", -14.0), NO_STROKES, lambda: between)


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


def strokes(tone_db: NDArray[np.float64], error_db: float = 0.3) -> Strokes:
    """Strokes with a tone, every band known as well."""
    known = Solved(
        np.tile(tone_db, (1 + FOLDS, 1)),
        np.full(BANDS_HZ.size, error_db),
        error_db**2 * np.eye(BANDS_HZ.size),
    )
    return Strokes(100, known, None)


def judged(found: Strokes, refrains_lufs: float = -12.0) -> dict[str, Evidence]:
    """By what: where the strokes do not tell, nothing else does."""
    made = Pair(level("chorus", refrains_lufs), level("verse", -14.0), found, None)
    return {one.what: one for one in judge_tone(made, 0.0) if isinstance(one, Evidence)}


def test_two_bells_are_told_for_two_things() -> None:
    """The larger one reaches into what is heard as low end; that is not told as a second thing."""
    tone_db = bell_db(BANDS_HZ, 180.0, -3.0) - bell_db(BANDS_HZ, 3_000.0, 1.5)
    found = judged(strokes(tone_db))
    assert set(found) == {"body", "edge"}
    assert (found["body"].kind, found["edge"].kind) == ("chorus", "verse")
    assert abs(found["body"].size_db + 3.0) < STROKES_TONE_DB
    assert abs(found["edge"].size_db - 1.5) < STROKES_TONE_DB
    assert found["body"].freq_hz is not None
    assert abs(np.log2(found["body"].freq_hz / 180.0)) < 0.2


def test_little_and_little_known_are_left_alone() -> None:
    tone_db = bell_db(BANDS_HZ, 200.0, -1.5)
    assert set(judged(strokes(tone_db))) == {"body"}
    assert not judged(strokes(0.4 * tone_db))
    assert not judged(strokes(tone_db, error_db=2.0))


def test_a_level_and_a_slight_tilt_are_no_tone() -> None:
    """What is played louder and a little brighter was not treated."""
    assert not judged(strokes(2.0 + 0.1 * np.log2(BANDS_HZ / 1_000.0)))


@pytest.mark.parametrize(("size_db", "told"), [(-1.2, "verse"), (1.2, None), (2.2, "chorus")])
def test_refrains_may_be_brighter_than_verses(size_db: float, told: str | None) -> None:
    """size_db: of refrains beside verses."""
    found = judged(strokes(bell_db(BANDS_HZ, 3_000.0, size_db))).get("edge")
    assert (found and found.kind) == told


def by_spectra(verses_db: NDArray[np.float64], found: Strokes = NO_STROKES) -> Evidence | None:
    """Nothing sounds alike, and the verses' spectrum is another by so much."""
    made = Pair(level("chorus", -12.0), level("verse", -14.0, verses_db), found, None)
    return next((one for one in judge_tone(made, 0.0) if isinstance(one, Evidence)), None)


@pytest.mark.parametrize(("freq_hz", "size_db"), [(2_500.0, 2.0), (3_600.0, 2.0), (3_600.0, 3.0)])
def test_where_nothing_sounds_in_both_the_spectra_tell_of_an_edge(freq_hz: float, size_db: float) -> None:
    """Beside a level, a tilt, and what differs from band to band."""
    chance_db = 3.0 + 0.5 * np.log2(THIRD_OCTAVES_HZ) + 0.3 * (-1.0) ** np.arange(THIRD_OCTAVES_HZ.size)
    found = by_spectra(bell_db(THIRD_OCTAVES_HZ, freq_hz, size_db) + chance_db)
    assert found is not None
    assert (found.what, found.kind) == ("edge", "verse")
    assert found.says.endswith("by their spectra alone.")
    assert abs(found.size_db - size_db) < 0.5
    assert found.freq_hz is not None
    assert abs(np.log2(found.freq_hz / freq_hz)) < 1.0 / 3.0


@pytest.mark.parametrize(
    "verses_db",
    [
        bell_db(THIRD_OCTAVES_HZ, 3_000.0, 1.0),  # small
        bell_db(THIRD_OCTAVES_HZ, 3_000.0, 8.0),  # no mixer's hand
        bell_db(THIRD_OCTAVES_HZ, 3_000.0, -3.0),  # refrains are brighter by nature
        bell_db(THIRD_OCTAVES_HZ, 1_000.0, 3.0),
        2.0 * np.log2(THIRD_OCTAVES_HZ / 1_000.0),  # a tilt
        bell_db(THIRD_OCTAVES_HZ, 3_000.0, 1.7) + 2.0 * (-1.0) ** np.arange(THIRD_OCTAVES_HZ.size),
        np.where(
            THIRD_OCTAVES_HZ > 4_000.0, -np.inf, bell_db(THIRD_OCTAVES_HZ, 2_500.0, 3.0)
        ),  # too few bands
    ],
)
def test_spectra_that_tell_of_no_edge(verses_db: NDArray[np.float64]) -> None:
    assert by_spectra(verses_db) is None


def test_strokes_that_know_of_no_edge_are_believed_before_the_spectra() -> None:
    edge_db = bell_db(THIRD_OCTAVES_HZ, 3_000.0, 3.0)
    assert by_spectra(edge_db, strokes(np.zeros(BANDS_HZ.size))) is None
    assert by_spectra(edge_db, strokes(np.zeros(BANDS_HZ.size), error_db=2.0)) is not None


def test_a_dip_is_no_lack_of_level() -> None:
    found = strokes(bell_db(BANDS_HZ, 200.0, -4.0))
    left = Pair(level("chorus", -12.0), level("verse", -14.0), found, None).by_strokes.left.level
    assert left is not None
    assert found.level is not None
    assert abs(left.value) < 0.15 < abs(found.level.value)


@pytest.mark.parametrize(
    ("onsets", "chosen"),
    [
        ({"verse": 60, "chorus": 50, "bridge": 90}, ("chorus", "verse")),
        ({"verse": 60, "chorus": 4, "bridge": 90}, ("chorus", "verse")),  # a dulled attack has few onsets
        ({"verse": 60, "chorus": 0}, None),  # silent
        ({"verse": 4, "chorus": 4, "bridge": 90}, None),
        ({"verse": 60, "bridge": 90}, ("bridge", "verse")),
        ({"verse": 60, "bridge": 4}, None),
    ],
)
def test_refrains_and_verses_are_compared_though_one_has_lost_its_onsets(
    onsets: dict[str, int], chosen: tuple[str, str] | None
) -> None:
    assert kinds_to_compare(dict.fromkeys(onsets, 20.0), onsets) == chosen
