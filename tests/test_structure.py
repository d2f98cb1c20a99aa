"""Sections, beats and downbeats against songs whose structure is known, scored by mir_eval.

Scores: Raffel et al., mir_eval: A Transparent Implementation of Common MIR Metrics (2014), in its own code;
boundaries trimmed, since a file's ends cannot be missed.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from itertools import pairwise

import mir_eval  # type: ignore[import-untyped]
import numpy as np
import pytest

from arsis.audio import Block, silence
from arsis.structure import FeatureStream, Structure, find_structure

from .songs import BREAKDOWN, LONG_VERSE, PLAIN, POP, KnownSong, Part, make_song
from .tolerances import (
    EXACT,
    FOOT_MEDIAN_S,
    FOUND_BEATS_F,
    FOUND_DOWNBEATS_F,
    FOUND_F05,
    FOUND_F05_EACH,
    FOUND_PAIRWISE,
    FOUND_TEMPO_SHARE,
)


@dataclass(frozen=True)
class Case:
    tempo_bpm: float
    form: tuple[Part, ...]
    metre: int
    seed: int


CASES = (
    Case(120.0, POP, 4, 1),
    Case(92.0, POP, 4, 2),
    Case(140.0, POP, 4, 3),
    Case(108.0, LONG_VERSE, 4, 4),
    Case(128.0, BREAKDOWN, 4, 5),
    Case(76.0, POP, 4, 6),
    Case(150.0, POP, 3, 7),
    Case(110.0, POP, 3, 8),
    Case(170.0, BREAKDOWN, 4, 9),
)


def find(sound: Block, rate_hz: int) -> Structure:
    """Structure of a sound held in memory, its starts refined."""
    stream = FeatureStream(rate_hz, sound.shape[0])
    stream.add(sound)
    return find_structure(stream.result(), lambda start, frames: sound[:, start : start + frames])


@cache
def solved(case: Case) -> tuple[KnownSong, Structure]:
    """A song (its sound dropped, to save memory) and what was found in it."""
    song = make_song(case.tempo_bpm, case.form, case.metre, seed=case.seed)
    return replace(song, sound=silence(2, 0)), find(song.sound, song.rate_hz)


def intervals(structure: Structure) -> np.ndarray:
    return np.array([[section.start_s, section.end_s] for section in structure.sections])


def boundary_f(song: KnownSong, found: np.ndarray, window_s: float) -> float:
    return float(mir_eval.segment.detection(song.intervals_s, found, window=window_s, trim=True)[2])


def every_eight_bars(song: KnownSong) -> np.ndarray:
    """The baseline: no listening at all, but the bars known."""
    edges = np.append(song.downbeats_s[::8], song.end_s)
    return np.stack([edges[:-1], edges[1:]], axis=1)


@pytest.mark.parametrize("case", CASES)
def test_boundaries_of_each_song(case: Case) -> None:
    song, structure = solved(case)
    assert boundary_f(song, intervals(structure), 0.5) >= FOUND_F05_EACH
    assert boundary_f(song, intervals(structure), 3.0) >= FOUND_F05_EACH


@pytest.mark.parametrize("window_s", [0.5, 3.0])
def test_boundaries_on_the_whole_and_against_the_baseline(window_s: float) -> None:
    songs = [solved(case) for case in CASES]
    found = np.mean([boundary_f(song, intervals(structure), window_s) for song, structure in songs])
    blind = np.mean([boundary_f(song, every_eight_bars(song), window_s) for song, _ in songs])
    assert found >= FOUND_F05
    assert found > blind


# With the weights of this finder an intro and an outro of the same players on the same chords get one letter:
# 0.943 and 0.947. Told apart by a higher SAME, the choruses of the bench's SEEN songs fall apart.
ONE_LETTER = pytest.mark.xfail(reason="intro and outro of a breakdown get one letter")


@pytest.mark.parametrize(
    "case", [pytest.param(case, marks=ONE_LETTER if case.form is BREAKDOWN else ()) for case in CASES]
)
def test_letters_tell_which_sections_are_the_same(case: Case) -> None:
    song, structure = solved(case)
    score = mir_eval.segment.pairwise(
        song.intervals_s, list(song.labels), intervals(structure), list(structure.letters)
    )
    assert score[2] >= FOUND_PAIRWISE


@pytest.mark.parametrize("case", CASES)
def test_tempo_up_to_the_octave(case: Case) -> None:
    song, structure = solved(case)
    assert structure.tempo_bpm is not None
    octaves = np.log2(structure.tempo_bpm / song.tempo_bpm)
    assert abs(octaves - round(octaves)) <= np.log2(1.0 + FOUND_TEMPO_SHARE)


@pytest.mark.parametrize("case", CASES)
def test_beats_and_downbeats(case: Case) -> None:
    song, structure = solved(case)
    beats, down = np.array(structure.beats_s), np.array(structure.downbeats_s)
    assert mir_eval.beat.f_measure(song.beats_s, beats) >= FOUND_BEATS_F
    assert mir_eval.beat.f_measure(song.downbeats_s, down) >= FOUND_DOWNBEATS_F


def test_beats_follow_a_change_of_tempo() -> None:
    first, second = make_song(112.0, POP[:3]), make_song(124.0, POP[3:])
    turn_s = first.end_s - 0.5  # songs are half a second longer than their bars
    sound = np.hstack([first.sound[:, : round(turn_s * first.rate_hz)], second.sound])
    beats = np.concatenate([first.beats_s, turn_s + second.beats_s])
    found = find(sound, first.rate_hz)
    assert mir_eval.beat.f_measure(beats, np.array(found.beats_s)) >= FOUND_BEATS_F


def test_starts_lie_on_the_attacks() -> None:
    away = []
    for song, structure in map(solved, CASES):
        for section in structure.sections[1:]:
            nearest = np.abs(song.starts_s - section.start_s).min()
            if nearest < 0.5:
                away.append(nearest)
            assert section.join is not None
            assert section.join.at_s == section.start_s
    assert np.median(away) < FOOT_MEDIAN_S


def test_a_song_in_plain_form_is_named_as_its_writer_would() -> None:
    _, structure = solved(CASES[0])
    names = [section.name for section in structure.sections]
    assert names == [
        "intro", "verse 1", "chorus 1", "verse 2", "chorus 2", "bridge", "chorus 3", "outro",
    ]  # fmt: skip
    assert "".join(structure.letters) == "ABCBCDCA" or "".join(structure.letters) == "ABCBCDCE"


def test_where_only_chords_and_tune_change_it_is_found_and_less_sure() -> None:
    _, clear = solved(CASES[0])
    song, thin = solved(Case(120.0, PLAIN, 4, 1))
    assert boundary_f(song, intervals(thin), 0.5) >= FOUND_F05_EACH
    sure = [section.confidence for section in clear.sections[1:]]
    unsure = [section.confidence for section in thin.sections[1:]]
    assert max(unsure) < min(sure)
    # All are right, and the finder knows it better than it did: it is the doubt that is compared.
    assert 1.0 - np.mean(unsure) > 5.0 * (1.0 - np.mean(sure))


def test_without_a_second_read_there_are_no_joins() -> None:
    song = make_song(120.0, POP[:4])
    stream = FeatureStream(song.rate_hz, 2)
    stream.add(song.sound)
    structure = find_structure(stream.result())
    assert [section.join for section in structure.sections] == [None] * len(structure.sections)
    assert len(structure.sections) == 4


def test_the_second_read_is_short_and_inside_the_file() -> None:
    song = make_song(120.0, POP[:5])
    asked: list[tuple[int, int]] = []

    def read(start: int, frames: int) -> Block:
        asked.append((start, start + frames))
        return song.sound[:, start : start + frames]

    stream = FeatureStream(song.rate_hz, 2)
    stream.add(song.sound)
    structure = find_structure(stream.result(), read)
    assert len(asked) == len(structure.sections) - 1
    assert all(0 <= start < stop <= song.sound.shape[1] for start, stop in asked)
    assert sum(stop - start for start, stop in asked) <= 0.25 * song.rate_hz * len(asked)


def test_the_same_again_and_at_another_level() -> None:
    song = make_song(100.0, POP[:5])
    once, again = find(song.sound, song.rate_hz), find(song.sound, song.rate_hz)
    assert once == again
    quiet = find(song.sound / 300.0, song.rate_hz)
    assert np.abs(intervals(quiet) - intervals(once)).max() == EXACT
    assert quiet.letters == once.letters


@pytest.mark.parametrize(
    ("rate_hz", "channels"), [(8_000, 1), (22_050, 2), (48_000, 1), (96_000, 2), (192_000, 2)]
)
def test_any_rate_and_mono(rate_hz: int, channels: int) -> None:
    song = make_song(120.0, POP[:4], rate_hz=rate_hz)
    structure = find(song.sound[:channels], rate_hz)
    assert boundary_f(song, intervals(structure), 0.5) >= FOUND_F05_EACH


def tone(level_at_s: dict[float, float], seconds: float = 40.0) -> Block:
    """220 Hz whose level changes at the given times."""
    t = np.arange(round(44_100 * seconds)) / 44_100
    level = np.select([t >= start for start in sorted(level_at_s, reverse=True)], [
        level_at_s[start] for start in sorted(level_at_s, reverse=True)
    ])  # fmt: skip
    return np.tile(level * np.sin(2 * np.pi * 220.0 * t), (2, 1))


def click() -> Block:
    one = silence(2, 44_100 * 40)
    one[:, 44_100 * 20] = 1.0
    return one


ODD_SOUNDS = {
    "nothing": silence(2, 0),
    "one frame": silence(1, 1),
    "a tenth of a second": np.full((2, 4_410), 0.1),
    "one second of noise": 0.1 * np.random.default_rng(1).standard_normal((2, 44_100)),
    "silence": silence(2, 44_100 * 40),
    "offset": np.full((1, 44_100 * 40), 0.5),
    "noise": 0.1 * np.random.default_rng(2).standard_normal((2, 44_100 * 40)),
    "one click": click(),
    "tone": tone({0.0: 0.3}),
}


@pytest.mark.parametrize("name", [*ODD_SOUNDS, "stepped tone"])
def test_odd_sounds_have_sections_that_tile_the_file(name: str) -> None:
    sound = tone({0.0: 0.3, 20.0: 0.1}) if name == "stepped tone" else ODD_SOUNDS[name]
    structure = find(sound, 44_100)
    sections = structure.sections
    assert sections[0].start_s == 0.0
    assert sections[-1].end_s == sound.shape[1] / 44_100
    assert all(before.end_s == after.start_s for before, after in pairwise(sections))
    assert all(0.0 <= section.confidence <= 1.0 for section in sections)
    assert len(structure.letters) == len(sections)
    assert (structure.why is None) == (len(sections) > 1)
    if name in ODD_SOUNDS:  # nothing happens in these
        assert [section.name for section in sections] == ["song"]
        assert structure.tempo_bpm is None
