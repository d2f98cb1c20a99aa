"""What section finders are known to get wrong, each as small as it can be: what this one does now.

The list was measured on earlier builds: odd lengths, free time, waltzes counted in dotted beats, fills, other
keys, equal neighbours, fade-outs, rings, count-ins, drones and speech.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path

import mir_eval  # type: ignore[import-untyped]
import numpy as np
import pytest
from click.testing import CliRunner

from arsis.audio import Block
from arsis.cli.main import main
from arsis.io.write import write_sound
from arsis.structure import Structure
from arsis.structure.alignment import in_other_keys
from arsis.structure.bars import Bars, _in_threes
from arsis.structure.beats import _leaves
from arsis.structure.boundaries import downbeat_shift, join_ends
from arsis.structure.fade import without_fade
from arsis.structure.features import FRAME_S, Features, FeatureStream
from arsis.structure.find import _unsteadiness
from arsis.structure.labels import split_runs
from arsis.structure.onsets import Onsets, find_onsets
from arsis.structure.similarity import Similarity
from arsis.structure.units import Units

from .songs import CHORUS, INTRO, POP, VERSE, KnownSong, make_song
from .test_structure import boundary_f, find, intervals
from .tolerances import FOUND_F05_EACH

RATE_HZ = 44_100
BASE = tuple(replace(part, bars=8) for part in POP[:5])


def units(loudness: np.ndarray, density: np.ndarray) -> Units:
    count = len(loudness)
    shapes = {"width": (5,), "mel": (40,), "mel_slots": (8, 40), "harmony": (8, 12), "bass": (4, 12)}
    rows = {name: np.zeros((count, *shape)) for name, shape in (shapes | {"rhythm": (16, 4)}).items()}
    return Units(
        edges_s=np.arange(count + 1.0),
        loudness=loudness,
        density=np.tile(density[:, None], (1, 4)),
        bands=np.zeros((count, 5)),
        **rows,
    )


def similarity(levels: np.ndarray) -> Similarity:
    square = np.zeros((len(levels), len(levels)))
    return Similarity(square, square, square, square, square, levels, levels, np.zeros((len(levels), 8, 12)))


def test_a_ring_and_a_count_in_are_no_sections() -> None:
    loudness = np.concatenate([[-30.0], np.full(19, -15.0)])
    struck = np.concatenate([np.ones(18), np.zeros(2)])
    assert join_ends(np.array([0, 1, 10, 18, 20]), units(loudness, struck)).tolist() == [0, 10, 20]


def test_a_quiet_start_and_an_end_that_is_played_are_sections() -> None:
    quiet = np.concatenate([np.full(4, -30.0), np.full(16, -15.0)])
    assert join_ends(np.array([0, 4, 12, 18, 20]), units(quiet, np.ones(20))).tolist() == [0, 4, 12, 18, 20]


def test_a_run_of_one_letter_is_cut_as_long_as_it_is_elsewhere() -> None:
    """Only where the level has a step, or where it had been cut at another place."""
    still = similarity(np.zeros((48, 3)))
    stepped = similarity(np.repeat([0.0, 0.0, 0.0, 0.0, 0.6, 0.6], 8)[:, None])
    cuts, labels = np.array([0, 8, 16, 24, 40, 48]), np.array([0, 1, 2, 1, 0])
    assert split_runs(still, cuts, labels)[0].tolist() == cuts.tolist()
    found, names = split_runs(stepped, cuts, labels)
    assert found.tolist() == [0, 8, 16, 24, 32, 40, 48]
    assert names.tolist() == [0, 1, 2, 1, 1, 0]
    wrong = np.array([0, 8, 16, 28, 32, 48]), np.array([0, 1, 0, 0, 2])
    assert split_runs(still, *wrong)[0].tolist() == [0, 8, 16, 24, 32, 48]


def test_the_same_chords_a_tone_up_are_told_and_others_are_not() -> None:
    rng = np.random.default_rng(2)
    rows = rng.standard_normal((8, 8, 12))
    rows /= np.linalg.norm(rows, axis=2, keepdims=True)
    pitches = np.concatenate([rows, np.roll(rows, 2, axis=2), np.roll(rows, 6, axis=2), rows[::-1]])
    raised = in_other_keys(pitches, np.arange(0, 40, 8))
    assert raised[0, 1]
    assert raised[1, 0]
    assert not raised[0, 2]  # a tritone: nobody modulates so far
    assert not raised[0, 3]


def test_a_waltz_counted_in_dotted_beats_is_counted_in_three() -> None:
    curve = np.zeros(6000)
    beat = 40.0
    curve[(np.arange(140) * beat).astype(int)] = 1.0
    onsets = Onsets(curve, np.zeros((6000, 4)), np.zeros((6000, 4)))
    dotted = np.arange(90) * (1.5 * beat) * FRAME_S
    assert np.diff(_in_threes(dotted, onsets)) == pytest.approx(beat * FRAME_S)
    straight = np.arange(140) * beat * FRAME_S
    assert np.array_equal(_in_threes(straight, onsets), straight)


def test_three_stretches_of_another_tempo_leave_the_grid() -> None:
    near = np.ones(12)
    once, thrice = np.ones(12), np.ones(12)
    once[4], thrice[4:7] = 0.1, 0.1
    assert not _leaves(once, near)
    assert _leaves(thrice, near)


def test_free_playing_is_unsteadier_than_drift() -> None:
    rng = np.random.default_rng(5)
    struck = np.ones(200, bool)
    drifting = np.cumsum(0.5 * (1.0 + 0.05 * np.sin(np.arange(200) / 15.0) + rng.normal(0.0, 0.01, 200)))
    free = np.cumsum(0.5 * (1.0 + rng.normal(0.0, 0.06, 200)))
    assert _unsteadiness(drifting, struck) < 0.06 < 0.1 < _unsteadiness(free, struck)


def test_a_fill_does_not_move_the_bar_line() -> None:
    """Every section is led in by a loud last beat: the step is there, all other evidence on the one."""
    song = make_song(100.0, POP[:5])
    sound, beat = song.sound.copy(), round(0.6 * RATE_HZ)
    noise = 0.25 * np.random.default_rng(1).standard_normal((2, beat))
    for start_s in song.starts_s[1:]:
        at = round(start_s * RATE_HZ)
        sound[:, at - beat : at] += noise
    features = features_of(sound)
    beats = song.beats_s
    evidence = np.where(np.arange(len(beats)) % 4 == 0, 1.0, -0.3)
    bars = Bars(beats, np.arange(0, len(beats), 4), 4, True, evidence)
    late = replace(bars, down=bars.down[:-1] + 1, evidence=np.zeros(len(beats)))
    assert downbeat_shift(features, bars, song.starts_s[1:]) == 0
    assert downbeat_shift(features, replace(bars, evidence=np.zeros(len(beats))), song.starts_s[1:]) == 3
    assert downbeat_shift(features_of(song.sound), late, song.starts_s[1:] + 0.6) == 3


def features_of(sound: Block) -> Features:
    stream = FeatureStream(RATE_HZ, 2)
    stream.add(sound)
    return stream.result()


def faded(song: KnownSong, seconds: float) -> Block:
    left_s = (song.sound.shape[1] - np.arange(song.sound.shape[1])) / song.rate_hz
    return np.asarray(song.sound * np.clip(left_s / seconds, 0.0, 1.0))


def test_a_fade_out_is_taken_back_and_a_last_chord_is_not() -> None:
    song = make_song(110.0, (VERSE, CHORUS))
    levels = []
    for sound in (song.sound, faded(song, 12.0)):
        features = features_of(sound)
        flat = without_fade(features, find_onsets(features))
        assert (flat is None) == (sound is song.sound)
        late = slice(-round(5.0 / FRAME_S), -round(3.0 / FRAME_S))
        levels.append(10.0 * np.log10((flat or features).loudness[late].mean()))
    assert levels[1] == pytest.approx(levels[0], abs=3.0)  # the fade is 7 to 12 dB deep there


@pytest.fixture(scope="module")
def fade() -> tuple[KnownSong, Structure]:
    song = make_song(116.0, (*BASE, CHORUS))
    return song, find(faded(song, 12.0), song.rate_hz)


def test_the_last_refrain_of_a_song_that_fades_out_is_a_refrain(fade: tuple[KnownSong, Structure]) -> None:
    song, structure = fade
    assert boundary_f(song, intervals(structure), 0.5) >= FOUND_F05_EACH
    assert structure.letters[-1] == structure.letters[2]


def test_odd_lengths_are_found_where_the_players_change() -> None:
    form = tuple(
        replace(part, bars=bars) for part, bars in zip((*BASE, CHORUS), (3, 9, 7, 9, 7, 5), strict=True)
    )
    song = make_song(126.0, form)
    structure = find(song.sound, song.rate_hz)
    assert mir_eval.segment.detection(song.intervals_s, intervals(structure), window=3.0)[2] >= 0.75


def test_a_clip_of_a_minute_has_its_sections() -> None:
    song = make_song(128.0, (INTRO, VERSE, CHORUS, VERSE))
    structure = find(song.sound, song.rate_hz)
    assert song.end_s < 60.0
    assert boundary_f(song, intervals(structure), 0.5) >= FOUND_F05_EACH


def swell() -> Block:
    """Noise that comes and goes as waves do."""
    t = np.arange(60 * RATE_HZ) / RATE_HZ
    noise = np.random.default_rng(4).standard_normal((2, t.size))
    return np.asarray(0.1 * noise * (1.0 + 0.7 * np.sin(2 * np.pi * t / 9.3)))


def babble() -> Block:
    """Syllables of chance with pauses of chance: nothing in it comes back."""
    rng, sound, at = np.random.default_rng(6), np.zeros(60 * RATE_HZ), 0.3
    while at < 59.0:
        length = int(rng.uniform(0.08, 0.25) * RATE_HZ)
        t = np.arange(length) / RATE_HZ
        pitch_hz = rng.uniform(90.0, 140.0)
        voice = sum(np.sin(2 * np.pi * k * pitch_hz * t) / k ** rng.uniform(0.5, 1.5) for k in range(1, 12))
        start = round(at * RATE_HZ)
        sound[start : start + length] += 0.1 * np.hanning(length) * voice
        at += length / RATE_HZ + (rng.uniform(0.3, 1.2) if rng.random() < 0.12 else 0.02)
    return np.tile(sound, (2, 1))


def drone(seed: int) -> Block:
    """Six tones that swell by themselves, on both sides apart: some beat, and bars can be counted."""
    rng = np.random.default_rng(seed)
    t = np.arange(90 * RATE_HZ) / RATE_HZ
    sound = np.zeros((2, t.size))
    for _ in range(6):
        pitch_hz = 55.0 * 2.0 ** (rng.integers(0, 36) / 12.0)
        for channel in sound:
            swells = 1.0 + 0.6 * np.sin(2.0 * np.pi * rng.uniform(0.01, 0.06) * t + rng.uniform(0.0, 6.0))
            channel += 0.05 * np.sin(2.0 * np.pi * pitch_hz * t + rng.uniform(0.0, 6.0)) * swells
    return sound


def organ() -> Block:
    """One chord with a tremolo."""
    t = np.arange(60 * RATE_HZ) / RATE_HZ
    chord = sum(
        np.sin(2.0 * np.pi * 65.4 * k * ratio * t) / k for ratio in (1.0, 1.5, 2.52) for k in (1, 2, 3, 4)
    )
    return np.tile(0.05 * chord * (1.0 + 0.3 * np.sin(2.0 * np.pi * 3.1 * t)), (2, 1))


def engine() -> Block:
    """Strokes at a rate that wanders: they can be counted, and are no music."""
    rng, count = np.random.default_rng(12), 60 * RATE_HZ
    t = np.arange(count) / RATE_HZ
    strokes = np.floor(np.cumsum(9.0 + np.sin(2.0 * np.pi * t / 23.0)) / RATE_HZ)
    since = t - t[np.searchsorted(strokes, strokes)]
    return np.tile(
        0.2 * np.exp(-50.0 * since) * (np.sin(2.0 * np.pi * 80.0 * since) + 0.5 * rng.standard_normal(count)),
        (2, 1),
    )


def plucked() -> Block:
    """Four strings of a drone, plucked in turn over and over: they beat time, and nothing changes."""
    rng = np.random.default_rng(5)
    sound = np.zeros((2, 64 * RATE_HZ))
    t = np.arange(4 * RATE_HZ) / RATE_HZ
    for turn in range(48):
        root_hz = (98.0, 131.0, 131.1, 65.5)[turn % 4]
        string = sum(
            np.exp(-(0.4 + 0.05 * k) * t) * np.sin(2.0 * np.pi * k * root_hz * t) / k for k in range(1, 12)
        )
        at = round((1.25 * turn + 0.02 * rng.standard_normal()) * RATE_HZ) if turn else 0
        sound[:, at : at + t.size] += 0.1 * rng.uniform(0.8, 1.0) * string
    return sound


FORMLESS: dict[str, Callable[[], Block]] = {
    "waves": swell,
    "speech": babble,
    "organ": organ,
    "engine": engine,
    "plucked strings": plucked,
    **{f"drone {seed}": partial(drone, seed) for seed in (1, 6, 9, 23)},
}


@pytest.mark.parametrize("name", FORMLESS)
def test_what_has_no_sections_has_one_and_says_why(name: str) -> None:
    structure = find(FORMLESS[name](), RATE_HZ)
    assert len(structure.sections) == 1
    assert structure.tempo_bpm is None
    assert structure.why is not None


def held(chords: str) -> Block:
    """Twenty-four seconds of one soft chord after another, each faded into the next: ambient music."""
    t = np.arange(26 * RATE_HZ) / RATE_HZ
    fades = np.clip(t / 2.0, 0.0, 1.0) * np.clip((26.0 - t) / 2.0, 0.0, 1.0)
    sound = np.zeros((2, (24 * len(chords) + 2) * RATE_HZ))
    for at, name in enumerate(chords):
        roots_hz = {"A": (110.0, 165.0, 277.2), "B": (146.8, 220.0, 349.2)}[name]
        chord = sum(np.sin(2.0 * np.pi * root * k * t) / k**2 for root in roots_hz for k in (1, 2, 3))
        start = 24 * at * RATE_HZ
        sound[:, start : start + t.size] += 0.1 * fades * chord
    return sound


def test_held_chords_that_come_back_are_sections_though_nothing_is_struck() -> None:
    structure = find(held("ABABA"), RATE_HZ)
    starts = np.array([section.start_s for section in structure.sections])
    assert all(np.abs(starts - true_s).min() < 3.0 for true_s in (24.0, 48.0, 72.0, 96.0))


def test_drums_alone_have_sections_though_no_harmony_moves() -> None:
    """Kick and snare, then with hats at twice the rate, and so on."""
    rng, hit = np.random.default_rng(3), np.arange(RATE_HZ // 4) / RATE_HZ
    noise = rng.standard_normal(hit.size)
    kick, snare = np.exp(-14.0 * hit) * np.sin(2.0 * np.pi * 60.0 * hit), 0.5 * np.exp(-18.0 * hit) * noise
    hat = 0.2 * np.exp(-70.0 * hit) * np.diff(noise, prepend=0.0)
    sound = np.zeros((2, 66 * RATE_HZ))
    for step in range(32 * 16):
        at = step * RATE_HZ // 8
        players = [kick] if step % 8 == 0 else [snare] if step % 8 == 4 else []
        if step // 128 % 2:
            players.append(hat)
        for player in players:
            sound[:, at : at + hit.size] += 0.3 * player
    assert len(find(sound, RATE_HZ).sections) == 4


def test_three_seconds_of_music_are_one_section() -> None:
    song = make_song(120.0, (VERSE,))
    structure = find(song.sound[:, : 3 * RATE_HZ], RATE_HZ)
    assert structure.why == "it is shorter than 12 s"


def test_the_command_says_why_there_is_one_section(tmp_path: Path) -> None:
    song = tmp_path / "short.wav"
    with write_sound(song, 8_000, 1, encoding="pcm_s24") as sound:
        sound.write(np.full((1, 16_000), 1 << 18, np.int32))
    printed = CliRunner().invoke(main, ["sections", str(song)])
    assert "no steady beat; one section: it is shorter than 12 s" in printed.stdout
