"""The form corpus played: bars in their own time, mixed by the demo's means; truth is the score's."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block
from arsis.demo.arrange import LEAD_IN_S, Session, _phrases, seeded
from arsis.demo.mixdown import at_frames, glue_gain, room, trim_gain
from arsis.demo.score import Hit, Part, Score, Sung
from arsis.demo.tone import Wave
from arsis.process import apply
from arsis.settings import HighPass
from arsis.units import db_to_gain, seconds_to_frames
from bench.corpus.band import GUESTS

from .score import STEPS_A_BEAT, FormScore, Section, lanes, moved

RATE_HZ = 44_100
TAIL_S = 3.5
PEAK_DBFS = -3.0
LOW = frozenset({"bass", *(name for name, guest in GUESTS.items() if guest.low)})
SYLLABLES = ("la", "we", "so", "mo", "ta", "lo", "na", "ke", "no", "wa", "me", "ti")
Times = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Truth:
    """What is true of a song. starts_s: the first is 0. Beats and downbeats are none in free time."""

    name: str
    starts_s: tuple[float, ...]
    end_s: float
    letters: tuple[str, ...]
    kinds: tuple[str, ...]
    beats_s: tuple[float, ...]
    halves_s: tuple[float, ...]
    downbeats_s: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class _Bar:
    section: int
    number: int
    first: int  # its first step, counted over the song
    steps: int


@dataclass(frozen=True, slots=True)
class Timeline:
    """Every bar, and when every step of the song comes."""

    bars: tuple[_Bar, ...]
    times_s: Times


def timeline(score: FormScore) -> Timeline:
    """Bars and steps in time, from the tempo, its drift and what the sections ask for."""
    bars: list[_Bar] = []
    pace: list[Times] = []
    first, bpm = 0, score.bpm
    for at, section in enumerate(score.sections):
        bpm = section.bpm or bpm
        for number in range(section.bars):
            cut = section.cut if number == section.bars - 1 else None
            steps = score.steps if cut is None else cut * STEPS_A_BEAT
            bars.append(_Bar(at, number, first, steps))
            first += steps
            slower = np.ones(steps)
            if section.rit < 1.0 and number >= section.bars - 2:
                half = number - (section.bars - 2)
                slower = np.linspace(1.0, section.rit, 2 * steps)[half * steps : (half + 1) * steps]
            pace.append(bpm * slower)
    length_s = 60.0 / STEPS_A_BEAT / np.concatenate(pace)
    length_s *= 1.0 + _drift(score, len(length_s))
    lead_s = LEAD_IN_S + (4 * 60.0 / score.bpm if score.count_in else 0.0)
    return Timeline(tuple(bars), lead_s + np.concatenate([[0.0], np.cumsum(length_s)]))


def _drift(score: FormScore, steps: int) -> Times:
    """A slow wander of the tempo; in free time also every note and the end of every second bar."""
    rng = seeded(score.name, "tempo")
    width = 24 * STEPS_A_BEAT
    rough = rng.standard_normal(steps + 2 * width)
    slow = np.convolve(rough, np.hanning(width), "same")[width : width + steps]
    drift = score.drift * slow / (slow.std() + 1e-9)
    if score.free:
        place = np.arange(steps) % (2 * score.steps) / (2 * score.steps)
        beats = np.repeat(rng.normal(0.0, 0.1, steps // 4 + 1), 4)[:steps]
        drift = drift + beats + 0.5 * np.maximum(place - 0.75, 0.0) / 0.25
    return np.asarray(np.clip(drift, -0.4, 0.9))


def truth_of(score: FormScore) -> Truth:
    """Known without a note being played."""
    line = timeline(score)
    starts = [line.times_s[bar.first] for bar in line.bars if bar.number == 0]
    steps = [(bar.first + step, step) for bar in line.bars for step in range(bar.steps)]
    beats = [line.times_s[at] for at, step in steps if step % score.beat == 0]
    halves = [line.times_s[at] for at, step in steps if step % 2 == 0]
    down = [line.times_s[bar.first] for bar in line.bars]
    kept = (lambda times: ()) if score.free else (lambda times: tuple(float(time) for time in times))
    return Truth(
        score.name,
        (0.0, *(float(start) for start in starts[1:])),
        float(line.times_s[-1]) + TAIL_S,
        tuple(section.letter for section in score.sections),
        tuple(section.kind for section in score.sections),
        kept(beats),
        kept(halves),
        kept(down),
    )


def perform(score: FormScore) -> Block:
    """The mix, (2, frames) at RATE_HZ; the same each time."""
    line = timeline(score)
    session = Session(_stage(score), seconds_to_frames(line.times_s[-1] + TAIL_S, RATE_HZ))
    for bar in line.bars:
        _play_bar(session, score, line, bar)
    for at, section in enumerate(score.sections):
        _sing(session, score, line, at, section)
    if score.count_in:
        for beat in range(4):
            part = _part(score, score.sections[0], "count")
            at_s = LEAD_IN_S + beat * 60.0 / score.bpm
            session._stroke("rim", Hit(0, 1, "X"), "C", part, at_s, False)
    return _mixed(session, score, line)


def _stage(score: FormScore) -> Score:
    return Score(
        name=score.name,
        title=score.name,
        rate_hz=RATE_HZ,
        tempo_bpm=score.bpm,
        scale=score.scale,
        parts=(),
        levels_db=score.levels_db,
        guests=GUESTS,
    )


def _part(score: FormScore, section: Section, name: str) -> Part:
    return Part(name=name, kind=section.kind, bars=section.bars, chords="", lanes={})


def _play_bar(session: Session, score: FormScore, line: Timeline, bar: _Bar) -> None:
    section = score.sections[bar.section]
    last = bar.number == section.bars - 1
    if last and section.rest:
        return
    music = score.music[section.letter]
    chords = music.chords.split()
    chord = moved(chords[bar.number % len(chords)], section.key)
    patterns = lanes(music.lanes, section, LOW)
    if score.marks and bar.number == 0 and bar.section and "hat" in patterns:
        patterns["crash"] = "x" + "." * (bar.steps - 1)
    if score.marks and last and "snare" in patterns:
        patterns["snare"] = patterns["snare"][: bar.steps - 4] + "xoxX"
    part = _part(score, section, f"{section.letter}{bar.section}")
    for lane, pattern in patterns.items():
        for hit in _hits(pattern, bar.steps):
            exact = bar.number == 0 and hit.step == 0
            at_s = float(line.times_s[bar.first + hit.step])
            placed = Hit(hit.step % 16, hit.steps, hit.letter)
            session._stroke(lane, placed, chord, part, at_s, exact)


def _hits(pattern: str, steps: int) -> list[Hit]:
    """The strokes of a bar of any number of steps."""
    text = (pattern * 2)[:steps]
    return [Hit(m.start(), m.end() - m.start(), m.group()[0]) for m in re.finditer(r"[A-Za-z-]=*", text)]


def _sing(session: Session, score: FormScore, line: Timeline, at: int, section: Section) -> None:
    music = score.music[section.letter]
    if not music.tune or "voice" in section.drop:
        return
    bars = [bar for bar in line.bars if bar.section == at]
    first, stop = bars[0].first, bars[-1].first + bars[-1].steps
    if section.rest:
        stop = bars[-1].first
    notes = _tune(score, section, music.tune)
    notes = [note for note in notes if first + (note.beat + note.beats) * STEPS_A_BEAT <= stop]
    for phrase in _phrases(notes):
        step = first + round(phrase[0].beat * STEPS_A_BEAT)
        beat_s = session.score.bar_s / 4
        start_s = float(line.times_s[max(step, 0)]) - phrase[0].beat * beat_s
        part = _part(score, section, section.letter)
        session._line(phrase, part, start_s, "lead", 0)
        if "choir" in section.add:
            session._line(phrase, part, start_s, "harmony", 0)
            session._line(phrase, part, start_s, "harmony", 1)


def _tune(score: FormScore, section: Section, text: str) -> list[Sung]:
    """Two bars of chance, taken up again with another end, for as long as the section lasts."""
    centre, busy = (float(word) for word in text.split())
    motifs = [_motif(score, section.letter, word, busy) for word in ("call", "answer")]
    ladder = [pitch for pitch in range(48, 90) if pitch % 12 in score.scale]
    middle = int(np.abs(np.array(ladder) - centre).argmin())
    beats_a_motif = 2 * score.steps / STEPS_A_BEAT
    notes: list[Sung] = []
    for turn in range((section.bars + 1) // 2):
        motif = motifs[(0, 0, 1, 0)[turn % 4]]
        for place, (beat, beats, degree) in enumerate(motif):
            bend = turn % 2 if place == len(motif) - 1 else 0
            pitch = ladder[int(np.clip(middle + degree + bend, 0, len(ladder) - 1))] + section.key
            syllable = SYLLABLES[(3 * turn + place) % len(SYLLABLES)]
            notes.append(Sung(turn * beats_a_motif + beat, beats, pitch, syllable))
    if section.pick and notes:
        before = max(-1.0, notes[0].beat - 1.0)
        notes.insert(0, Sung(before, 1.0, notes[0].midi, "na"))
    return notes


def _motif(score: FormScore, letter: str, word: str, busy: float) -> list[tuple[float, float, int]]:
    """(beat, beats, degree of the scale) over two bars."""
    rng = seeded(score.name, letter, word, "tune")
    beats = 2 * score.steps / STEPS_A_BEAT
    found, beat, degree = [], float(rng.choice([0.0, 0.5, 1.0])), int(rng.integers(-2, 3))
    while beat < beats - 1.5:
        length = float(rng.choice([0.5, 1.0, 1.5, 2.0], p=_lengths(busy)))
        length = min(length, beats - 0.5 - beat)
        if rng.random() < 0.85 or not found:
            found.append((beat, length, degree))
        beat += length
        degree = int(np.clip(degree + rng.choice([-2, -1, -1, 0, 1, 1, 2, 3]), -5, 6))
    return found


def _lengths(busy: float) -> Times:
    weights = np.array([busy, 0.5, 0.25, 1.0 - busy])
    return np.asarray(weights / weights.sum())


def _mixed(session: Session, score: FormScore, line: Timeline) -> Block:
    session.music.add_room(room(RATE_HZ, seeded(score.name, "room"), 0.9, 0.011))
    session.voice.add_room(room(RATE_HZ, seeded(score.name, "hall"), 1.5, 0.024))
    sound = session.music.sound + session.voice.sound
    frames = sound.shape[1]
    sound *= _hand(score, line, frames)
    sound *= at_frames(glue_gain(sound, RATE_HZ, -22.0, 1.6), frames)
    sound *= at_frames(trim_gain(sound, 3.0), frames)
    sound = apply(HighPass(freq_hz=15.0, order=1), sound, RATE_HZ)
    rng = seeded(score.name, "desk")
    sound += db_to_gain(-92.0) * rng.standard_normal(sound.shape)
    fade = max(score.fade_s, 1.0)
    sound *= np.clip((frames / RATE_HZ - np.arange(frames) / RATE_HZ) / fade, 0.0, 1.0)
    return np.asarray(sound * (db_to_gain(PEAK_DBFS) / np.abs(sound).max()))


def _hand(score: FormScore, line: Timeline, frames: int) -> Wave:
    """The mixer's fader, as gain."""
    times, levels = [0.0], [score.sections[0].db]
    starts = [bar.first for bar in line.bars if bar.number == 0]
    for section, first, stop in zip(score.sections, starts, [*starts[1:], -1], strict=True):
        times += [float(line.times_s[first]), float(line.times_s[stop]) - 0.04]
        levels += [section.db, section.db + section.grow]
    gains = 10.0 ** (np.array(levels) / 20.0)
    return np.asarray(np.interp(np.arange(float(frames)), np.array(times) * RATE_HZ, gains))
