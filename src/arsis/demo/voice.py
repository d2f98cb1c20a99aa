"""The sung line: one throat through a phrase, with vowels, consonants, glides, vibrato and breath."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from .tone import Tone, Wave, harmonics, noise, period, pitch_hz, read_period, tone_gain

# Formants in Hz, women's means: Peterson and Barney, Control methods used in a study of the vowels, JASA 24
# (1952), table II, from memory; the fourth and fifth and all widths are by ear, no source.
_FORMANTS = {
    "a": (850, 1220, 2810, 3800, 4900),
    "e": (610, 2330, 2990, 3900, 4900),
    "i": (310, 2790, 3310, 4000, 5000),
    "o": (590, 920, 2710, 3700, 4800),
    "u": (370, 950, 2670, 3600, 4800),
}
_WIDTHS_HZ = (90.0, 110.0, 170.0, 240.0, 320.0)
_HEIGHTS = (1.0, 0.62, 0.36, 0.28, 0.15)
_CONTROL_HZ = 500
PRE_ROLL_S = 0.15


@dataclass(frozen=True, slots=True)
class Note:
    """A note of a phrase, in seconds from the phrase's first."""

    start_s: float
    end_s: float
    midi: int
    syllable: str


def phrase(
    rate_hz: int, rng: np.random.Generator, notes: Sequence[Note], tone: Tone, sibilance_db: float
) -> Wave:
    """A phrase in one breath, RMS about 1; the first note starts `PRE_ROLL_S` into it."""
    frames = int((PRE_ROLL_S + notes[-1].end_s + 0.3) * rate_hz)
    t = np.arange(frames) / rate_hz - PRE_ROLL_S
    cycles = np.cumsum(_pitch(t, notes, rng)) / rate_hz
    air = noise(frames, rate_hz, rng, ((400, -24), (1500, -4), (4000, 0), (9000, -2), (18000, -12)), tone)
    hiss = noise(frames, rate_hz, rng, ((2500, -40), (5000, -8), (7200, 0), (10500, -3), (18000, -16)), tone)
    total = np.zeros(frames)
    for index, note in enumerate(notes):
        joined = index + 1 < len(notes) and notes[index + 1].start_s - note.end_s < 0.03
        low = max(0, int((note.start_s - 0.14 + PRE_ROLL_S) * rate_hz))
        high = min(frames, int((note.end_s + 0.25 + PRE_ROLL_S) * rate_hz))
        part = slice(low, high)
        total[part] += _sung(rate_hz, note, t[part], cycles[part], air[part], tone, joined, rng)
        total[part] += _consonant(note, t[part], hiss[part], air[part], sibilance_db)
    return total


def _pitch(t: Wave, notes: Sequence[Note], rng: np.random.Generator) -> Wave:
    """Hz at each frame: steps rounded by a glide, vibrato on held notes, and an unsteady hand."""
    count = int((t[-1] - t[0]) * _CONTROL_HZ) + 2
    grid = t[0] + np.arange(count) / _CONTROL_HZ
    starts = np.array([note.start_s for note in notes[1:]])
    pitch = np.array([note.midi for note in notes], dtype=np.float64)[np.searchsorted(starts - 0.02, grid)]
    glide = np.hanning(34)
    pitch = np.convolve(np.pad(pitch, 17, mode="edge"), glide / glide.sum(), mode="same")[17 : 17 + count]
    first = np.array([note.start_s for note in notes])[np.searchsorted(starts, grid)]
    age = grid - first
    pitch -= 0.45 * np.exp(-np.maximum(age, 0.0) / 0.045)
    depth = 0.24 * np.clip((age - 0.28) / 0.4, 0.0, 1.0)
    pitch += depth * np.sin(2 * np.pi * (rng.uniform(5.1, 5.6) * grid + rng.uniform()))
    drift = np.convolve(rng.standard_normal(count), np.hanning(60) / 8.0, mode="same")
    pitch += 0.045 * drift
    return np.interp(t, grid, 440.0 * 2.0 ** ((pitch - 69.0) / 12.0))


def _sung(
    rate_hz: int,
    note: Note,
    t: Wave,
    cycles: Wave,
    air: Wave,
    tone: Tone,
    joined: bool,
    rng: np.random.Generator,
) -> Wave:
    """The voiced part of one note, with the breath that goes through it."""
    soft = note.syllable[0] in "lmnw"
    fall_s = 0.03 if joined else 0.16
    attack_s = 0.02 if note.syllable[0] in "tkp" else 0.045
    opening = note.start_s + (0.045 if soft else 0.0)
    shape = [
        note.start_s - 0.015,
        opening + attack_s,
        opening + attack_s + 0.12,
        note.end_s,
        note.end_s + fall_s,
    ]
    swell = rng.uniform(0.92, 1.05)
    envelope = np.interp(t, shape, [0.0, 1.0, 0.93, swell * 0.9, 0.0])
    freqs = harmonics(pitch_hz(note.midi), rate_hz, 12_500.0)
    table = period(_spectrum(note.syllable[-1], freqs) * tone_gain(tone, freqs))
    wave = envelope * (read_period(table, cycles) + 0.035 * air)
    if soft:
        hum = np.interp(
            t, [note.start_s - 0.035, note.start_s, opening, opening + 0.05], [0.0, 0.5, 0.45, 0.0]
        )
        murmur = period(tone_gain(tone, freqs) / (1.0 + (freqs / 320.0) ** 2.2))
        wave += hum * read_period(murmur, cycles)
    lift_db = 0.22 * (note.midi - 67)
    return np.asarray(wave * 10.0 ** (lift_db / 20.0))


def _consonant(note: Note, t: Wave, hiss: Wave, air: Wave, sibilance_db: float) -> Wave:
    """The unvoiced start of a syllable: a hiss for s, a burst for t, k and p."""
    letter, at = note.syllable[0], note.start_s
    if letter == "s":
        shape = np.interp(t, [at - 0.11, at - 0.07, at - 0.015, at + 0.02], [0.0, 1.0, 0.85, 0.0])
        return np.asarray(0.30 * 10.0 ** (sibilance_db / 20.0) * shape * hiss)
    if letter in "tkp":
        shape = np.interp(t, [at - 0.032, at - 0.029, at - 0.016, at + 0.012], [0.0, 1.0, 0.3, 0.0])
        return np.asarray(0.34 * shape * (hiss if letter == "t" else air))
    return np.zeros_like(t)


def _spectrum(vowel: str, freqs: Wave) -> Wave:
    """Harmonic amplitudes: a source falling 12 dB an octave, lips rising 6, resonances on top."""
    source = 1.0 / (1.0 + (freqs / 600.0) ** 1.25)
    throat = np.full_like(freqs, 0.035)
    for centre, width, height in zip(_FORMANTS[vowel], _WIDTHS_HZ, _HEIGHTS, strict=True):
        throat += height / np.sqrt(1.0 + ((freqs - centre) / width) ** 2)
    return np.asarray(source * throat)
