"""Small songs made in numpy, with sections, beats and downbeats known exactly."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block, silence

Mono = NDArray[np.float64]

MAJOR = (0, 2, 4, 5, 7, 9, 11)


@dataclass(frozen=True, slots=True)
class Part:
    """A section as it is written: levels of the players as factors, a degree of the scale for each bar."""

    label: str
    bars: int
    degrees: tuple[int, ...] = (0, 4, 5, 3)
    drums: str = "rock"
    drum: float = 1.0
    bass: float = 1.0
    pad: float = 0.0
    pluck: float = 0.0
    tune: float = 0.0
    width: float = 0.5


@dataclass(frozen=True, slots=True)
class KnownSong:
    """sound: (2, frames). starts_s: of the sections, the first is 0. end_s: of the last."""

    sound: Block
    rate_hz: int
    tempo_bpm: float
    beats_s: Mono
    downbeats_s: Mono
    starts_s: Mono
    end_s: float
    labels: tuple[str, ...]

    @property
    def intervals_s(self) -> Mono:
        """(sections, 2), as mir_eval takes them."""
        return np.stack([self.starts_s, np.append(self.starts_s[1:], self.end_s)], axis=1)


VERSE = Part("verse", 8, drums="rock", drum=0.8, pluck=0.8, tune=0.8, width=0.2)
CHORUS = Part("chorus", 8, degrees=(3, 0, 4, 5), pad=1.0, pluck=0.6, tune=1.1, bass=1.1, width=0.9)
BRIDGE = Part("bridge", 8, degrees=(5, 5, 1, 1), drums="half", pad=0.9, drum=0.7)
INTRO = replace(VERSE, label="intro", bars=4, drums="hats", tune=0.0)
OUTRO = replace(VERSE, label="outro", bars=4, drums="hats", bass=0.7, tune=0.0, pad=0.4)

POP = (INTRO, VERSE, CHORUS, VERSE, CHORUS, BRIDGE, CHORUS, OUTRO)
LONG_VERSE = (INTRO, replace(VERSE, bars=16), CHORUS, replace(VERSE, bars=12), CHORUS, CHORUS)
# The same players throughout: only chords and tune tell the sections apart.
PLAIN = tuple(
    replace(VERSE, label=label, degrees=degrees)
    for label, degrees in zip(
        "ABABCB", ((0, 4, 5, 3), (3, 0, 4, 5)) * 2 + ((5, 5, 1, 1), (3, 0, 4, 5)), strict=True
    )
)
BREAKDOWN = (
    replace(INTRO, bars=8),
    VERSE,
    CHORUS,
    replace(VERSE, label="break", bars=8, drums="none", bass=0.0, pad=0.6, tune=0.4),
    VERSE,
    CHORUS,
    OUTRO,
)

# Strokes in eighths of a bar of four beats, or of three.
STROKES: dict[str, dict[str, tuple[int, ...]]] = {
    "rock": {"kick": (0, 4, 5), "snare": (2, 6), "hat": (0, 1, 2, 3, 4, 5, 6, 7)},
    "half": {"kick": (0, 5), "snare": (4,), "hat": (0, 2, 4, 6)},
    "hats": {"hat": (0, 2, 4, 6)},
    "none": {},
}
WALTZ: dict[str, tuple[int, ...]] = {"kick": (0,), "snare": (2, 4), "hat": (0, 1, 2, 3, 4, 5)}


def make_song(
    tempo_bpm: float = 120.0,
    form: tuple[Part, ...] = POP,
    metre: int = 4,
    rate_hz: int = 44_100,
    seed: int = 1,
    human_ms: float = 4.0,
) -> KnownSong:
    """A song of `form`, about 0.3 s of work for each minute. `human_ms`: deviation of the strokes."""
    bars = sum(part.bars for part in form)
    beats_s = np.asarray(np.arange(bars * metre) * (60.0 / tempo_bpm), np.float64)
    bar_s = metre * 60.0 / tempo_bpm
    starts_s = np.asarray(np.cumsum([0] + [part.bars for part in form])[:-1] * bar_s, np.float64)
    end_s = bars * bar_s + 0.5
    stage = _Stage(
        silence(2, round(end_s * rate_hz)), rate_hz, np.random.default_rng(seed), human_ms / 1000.0
    )
    for part, start_s in zip(form, starts_s, strict=True):
        for bar in range(part.bars):
            _play_bar(stage, part, bar, float(start_s) + bar * bar_s, bar_s, metre)
    peak = float(np.abs(stage.sound).max())
    return KnownSong(
        0.7 / peak * stage.sound, rate_hz, tempo_bpm, beats_s, beats_s[::metre], starts_s, end_s,
        tuple(part.label for part in form),
    )  # fmt: skip


@dataclass(slots=True)
class _Stage:
    sound: Block
    rate_hz: int
    chance: np.random.Generator
    human_s: float
    shots: dict[tuple[str, int, int], Mono] = field(default_factory=dict)

    def play(self, shot: Mono, at_s: float, level: float, pan: float = 0.0, wide: float = 0.0) -> None:
        """Add one stroke, a little early or late; `wide` puts part of it into the side only."""
        start = max(round((at_s + self.chance.normal(0.0, self.human_s)) * self.rate_hz), 0)
        stop = min(start + len(shot), self.sound.shape[1])
        level *= 1.0 + self.chance.normal(0.0, 0.05)
        taken = level * shot[: stop - start]
        self.sound[0, start:stop] += (1.0 - pan + 0.5 * wide) * taken
        self.sound[1, start:stop] += (1.0 + pan - 0.5 * wide) * taken

    def shot(self, kind: str, pitch: int = 0, length_ms: int = 0) -> Mono:
        """A one-shot, made once."""
        key = (kind, pitch, length_ms)
        if key not in self.shots:
            self.shots[key] = _make_shot(kind, pitch, length_ms / 1000.0, self.rate_hz)
        return self.shots[key]


def _make_shot(kind: str, pitch: int, length_s: float, rate_hz: int) -> Mono:
    chance = np.random.default_rng(7)
    seconds = {"kick": 0.3, "snare": 0.25, "hat": 0.08}.get(kind, length_s + 0.03)
    t = np.arange(round(seconds * rate_hz)) / rate_hz
    hiss = np.diff(chance.standard_normal(len(t) + 1)) / 1.4  # rises with frequency
    if kind == "kick":
        sweep = 50.0 * t + 120.0 * 0.025 * (1.0 - np.exp(-t / 0.025))
        return np.asarray(np.sin(2 * np.pi * sweep) * np.exp(-t / 0.09) + 0.2 * hiss * np.exp(-t / 0.003))
    if kind == "snare":
        return 0.6 * hiss * np.exp(-t / 0.06) + 0.5 * np.sin(2 * np.pi * 190.0 * t) * np.exp(-t / 0.05)
    if kind == "hat":
        return np.diff(hiss, prepend=0.0) * np.exp(-t / 0.015)
    freq_hz = 440.0 * 2.0 ** ((pitch - 69) / 12.0)
    top = int(min(6000.0, 0.45 * rate_hz) / freq_hz)
    bright = {"bass": 1.6, "pad": 1.5, "pluck": 1.2, "tune": 1.0}[kind]
    tone = sum(np.sin(2 * np.pi * k * freq_hz * t) / k**bright for k in range(1, min(top, 12) + 1))
    rise, fall = {"bass": (0.004, 0.5), "pad": (0.04, 4.0), "pluck": (0.002, 0.2), "tune": (0.01, 0.6)}[kind]
    release = np.clip((t[-1] - t) / 0.03, 0.0, 1.0)
    return np.asarray(tone * (1.0 - np.exp(-t / rise)) * np.exp(-t / fall) * release)


def _play_bar(stage: _Stage, part: Part, bar: int, at_s: float, bar_s: float, metre: int) -> None:
    eighth_s = bar_s / (2 * metre)
    strokes = WALTZ if metre == 3 and part.drums not in ("hats", "none") else STROKES[part.drums]
    for drum, places in strokes.items():
        level, pan = {"kick": (0.9, 0.0), "snare": (0.6, 0.0), "hat": (0.12, 0.2)}[drum]
        for place in places:
            if place < 2 * metre:
                stage.play(stage.shot(drum), at_s + place * eighth_s, level * part.drum, pan)
    degree = part.degrees[bar % len(part.degrees)]
    chord = [48 + MAJOR[(degree + k) % 7] + 12 * ((degree + k) // 7) for k in (0, 2, 4)]
    length_ms = round(1000 * eighth_s)
    for place in range(2 * metre):
        if part.bass:
            stage.play(stage.shot("bass", chord[0] - 12, length_ms), at_s + place * eighth_s, 0.3 * part.bass)
        if part.pluck:
            pluck = stage.shot("pluck", chord[place % 3] + 12, length_ms)
            stage.play(pluck, at_s + place * eighth_s, 0.15 * part.pluck, 0.3 * (-1) ** place, part.width)
    if part.pad:
        for voice, pitch in enumerate(chord):
            pad = stage.shot("pad", pitch + 12, round(1000 * bar_s))
            stage.play(pad, at_s, 0.12 * part.pad, 0.0, part.width * (-1) ** voice)
    if part.tune:
        _play_tune(stage, part, bar, at_s, eighth_s, metre)


def _play_tune(stage: _Stage, part: Part, bar: int, at_s: float, eighth_s: float, metre: int) -> None:
    """The same four-bar tune wherever the label comes back."""
    chance = np.random.default_rng([*part.label.encode(), bar % 4])
    for place in range(0, 2 * metre, 2):
        if chance.random() < 0.7:
            pitch = 60 + MAJOR[int(chance.integers(0, 7))]
            stage.play(
                stage.shot("tune", pitch, round(2000 * eighth_s)), at_s + place * eighth_s, 0.2 * part.tune
            )
