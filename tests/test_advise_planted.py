"""Faults planted into a balanced song are named; as it is it is left alone. More: `make bench-advise`."""

from __future__ import annotations

import pytest

from arsis.demo.songs import DemoSong
from bench.advise import SIZE_DB, Case, listen
from bench.corpus import corpus_song
from bench.harms import Harm

SONG = "level-crossing"
PLANTED = (
    Harm("step", "chorus", 2.0),
    Harm("low_end", "verse", 2.5, 70.0),
    Harm("body", "chorus", 2.5, 200.0),
    Harm("width", "chorus", 2.5),
    Harm("attack", "chorus", 1.5),
)


@pytest.fixture(scope="module")
def song() -> DemoSong:
    return corpus_song(SONG)


def test_the_song_as_it_is_wants_nothing(song: DemoSong) -> None:
    assert listen(song, None) == ()


@pytest.mark.parametrize("harm", PLANTED, ids=[harm.says for harm in PLANTED])
def test_a_planted_fault_is_named(harm: Harm, song: DemoSong) -> None:
    """In the right kind of section, within a third of an octave, within 1 dB; and little is said besides."""
    case = Case(SONG, harm, listen(song, harm))
    assert case.hit is not None, case.said
    assert case.hit.size_db < 0.0
    assert abs(abs(case.hit.size_db) - harm.size_db) <= 2.0 * SIZE_DB
    assert case.beside <= 1
