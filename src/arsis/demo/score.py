"""What a composition is made of: sections, grooves and sung lines, written as short text.

A *lane* is one player's pattern: bars separated by spaces, four steps to a quarter note and sixteen to a
bar where the score has no other metre, repeated over the section. A dot is silence, ``=`` holds the stroke
before it; drums and chords write the strength of a stroke as ``X`` ``x`` ``o`` ``-`` (falling), the bass
writes what it plays: ``R`` root, ``F`` fifth, ``O`` octave, small letters softer. A sung line is
``note:beats:syllable`` and ``-:beats`` for a rest; a beat is a quarter note.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

import numpy as np

from arsis.plan.model import SectionKind

from .tone import Tone, Wave

STEPS = 16  # of a bar of four quarters
STEPS_A_BEAT = 4
STRENGTH = {"X": 1.0, "x": 0.78, "o": 0.55, "-": 0.34}
BASS = {"R": (0, 1.0), "r": (0, 0.8), "F": (7, 0.92), "f": (7, 0.75), "O": (12, 0.9), "o": (12, 0.72)}
_CLASS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_SHAPES = {
    "": (0, 4, 7),
    "m": (0, 3, 7),
    "7": (0, 4, 7, 10),
    "m7": (0, 3, 7, 10),
    "maj7": (0, 4, 7, 11),
    "sus": (0, 5, 7),
    "add9": (0, 4, 7, 14),
}


@dataclass(frozen=True, slots=True)
class Weakness:
    """Something left wrong on purpose. `amount` is in `unit`; `where` names sections, or "all"."""

    what: str
    where: tuple[str, ...]
    amount: float
    unit: str
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A section as composed.

    fader_db, grows_db: what the mixer's hand did to all of it, at its start and from there to its end.
    rings_s: how much longer than a bar the whole-bar strokes sound.
    """

    name: str
    kind: SectionKind
    bars: int
    chords: str
    lanes: Mapping[str, str]
    fill: Mapping[str, str] = field(default_factory=dict)
    melody: str = ""
    harmony: bool = False
    fader_db: float = 0.0
    grows_db: float = 0.0
    rings_s: float = 0.0
    music_tone: Tone = ()
    voice_tone: Tone = ()


@dataclass(frozen=True, slots=True)
class Stroke:
    """What a guest is asked to play. `low_midi` is the note that a bass would play here."""

    rate_hz: int
    chord: str
    low_midi: int
    strength: float
    length_s: float
    step: int
    take: int
    tone: Tone


@dataclass(frozen=True, slots=True, kw_only=True)
class Guest:
    """A player that only some songs have, in a lane of their name: a pan for each take, as in a seat.

    low: the lane is written as the bass writes. variants: how many strokes of one kind sound each their own.
    """

    play: Callable[[Stroke, np.random.Generator], Wave]
    pans: tuple[float, ...]
    room_db: float
    level_db: float
    low: bool = False
    variants: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Score:
    """A song as composed. `levels_db` moves the players' faders, `scale` the pitch classes of its key.

    tempo_bpm: quarter notes. steps: of a bar; twelve are three quarters or six eighths.
    """

    name: str
    title: str
    rate_hz: int
    tempo_bpm: float
    scale: tuple[int, ...]
    parts: tuple[Part, ...]
    steps: int = STEPS
    levels_db: Mapping[str, float] = field(default_factory=dict)
    guests: Mapping[str, Guest] = field(default_factory=dict)
    sibilance_db: float = 0.0
    wide_lows: bool = False
    click_s: float | None = None
    glue_dbfs: float = -22.0
    peak_dbfs: float = -3.2
    weaknesses: tuple[Weakness, ...] = ()

    @property
    def bar_s(self) -> float:
        return self.steps / STEPS_A_BEAT * 60.0 / self.tempo_bpm


@dataclass(frozen=True, slots=True)
class Hit:
    """One stroke in a bar: where, how long, and the letter it was written with."""

    step: int
    steps: int
    letter: str


@dataclass(frozen=True, slots=True)
class Sung:
    """One sung note, in beats from the start of its section."""

    beat: float
    beats: float
    midi: int
    syllable: str


def hits(lane: str, bar: int, steps: int = STEPS) -> list[Hit]:
    """The strokes of one bar of a lane; shorter lanes repeat."""
    bars = lane.split()
    text = bars[bar % len(bars)]
    if len(text) != steps:
        raise ValueError(f"a bar has {steps} steps: {text!r}")
    return [Hit(m.start(), m.end() - m.start(), m.group()[0]) for m in re.finditer(r"[A-Za-z-]=*", text)]


def sung(melody: str) -> list[Sung]:
    """The notes of a sung line."""
    notes, beat = [], 0.0
    for token in melody.split():
        pitch, beats, *syllable = token.split(":")
        if pitch != "-":
            notes.append(Sung(beat, float(beats), midi(pitch), syllable[0]))
        beat += float(beats)
    return notes


def midi(pitch: str) -> int:
    """The note number of a name such as ``F#4``; middle C is C4 = 60."""
    return 12 * (int(pitch[-1]) + 1) + _class(pitch[:-1])


def chord_classes(name: str) -> tuple[int, ...]:
    """The pitch classes of a chord name such as ``Am7``, root first."""
    found = re.fullmatch(r"([A-G][#b]?)(.*)", name)
    if found is None or found[2] not in _SHAPES:
        raise ValueError(f"not a chord: {name!r}")
    root = _class(found[1])
    return tuple((root + step) % 12 for step in _SHAPES[found[2]])


def voicing(name: str, lowest: int, notes: int) -> tuple[int, ...]:
    """`notes` chord tones upward from `lowest`, the closest there are."""
    classes = set(chord_classes(name))
    ladder = [pitch for pitch in range(lowest, lowest + 48) if pitch % 12 in classes]
    return tuple(ladder[:notes])


def in_scale(pitch: int, scale: tuple[int, ...], degrees: int) -> int:
    """The note `degrees` steps of the scale above (or, negative, below) `pitch`."""
    step = 1 if degrees > 0 else -1
    for _ in range(abs(degrees)):
        pitch += step
        while pitch % 12 not in scale:
            pitch += step
    return pitch


def _class(name: str) -> int:
    return (_CLASS[name[0]] + name.count("#") - name.count("b")) % 12
