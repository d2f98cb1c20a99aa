"""Bass, guitars, keys, pad and pluck: single periods whose brightness falls away, RMS about 1."""

from __future__ import annotations

import numpy as np

from .tone import (
    Curve,
    Tone,
    Wave,
    coloured,
    curve_gain,
    decay,
    harmonics,
    noise,
    period,
    pitch_hz,
    read_period,
    tone_gain,
)

_CABINET = (
    (40, -24),
    (85, -5),
    (130, 0),
    (350, -1),
    (900, -5),
    (1600, -4),
    (2600, -1),
    (4200, -5),
    (6500, -17),
    (12000, -30),
)


def bass(rate_hz: int, rng: np.random.Generator, midi: int, length_s: float, tone: Tone) -> Wave:
    """A plucked string, with a finger at its start, and a little of the amplifier."""
    freq_hz = pitch_hz(midi)
    bright = ((30, -4), (70, -1), (180, 1), (350, -6), (800, -18), (2400, -32), (6000, -50))
    dark = ((30, -4), (70, -1), (160, 0), (350, -12), (700, -36), (2400, -60))
    wave = _string(rate_hz, freq_hz, length_s, bright, dark, tone, (0.35, 2.2))
    finger = noise(wave.size, rate_hz, rng, ((200, -20), (900, 0), (2500, -3), (7000, -24)))
    driven = np.tanh(0.8 * wave) + 0.06 * finger * decay(wave.size, rate_hz, 0.012)
    return driven * _gate(wave.size, rate_hz, length_s, 0.003, 0.05)


def guitar(
    rate_hz: int, rng: np.random.Generator, chord: tuple[int, ...], length_s: float, drive: float, tone: Tone
) -> Wave:
    """A strummed chord through a small driven amplifier and its cabinet."""
    frames = int((length_s + 0.35) * rate_hz)
    total = np.zeros(frames)
    bright = ((60, -3), (200, 0), (900, -5), (2500, -12), (6000, -20), (12000, -34))
    dark = ((60, -3), (200, 0), (700, -14), (2000, -32), (6000, -60))
    for string, midi in enumerate(chord):
        late = int(rate_hz * (0.004 * string + rng.uniform(0.0, 0.002)))
        cents = rng.normal(0.0, 3.5)
        one = _string(rate_hz, pitch_hz(midi + cents / 100), length_s + 0.3, bright, dark, (), (0.28, 1.6))
        one = one[: frames - late] * rng.uniform(0.8, 1.0)
        total[late : late + one.size] += one
    pick = noise(frames, rate_hz, rng, ((600, -16), (2500, 0), (5000, -2), (12000, -16)))
    total += 0.5 * pick * decay(frames, rate_hz, 0.006)
    amplified = np.tanh(drive * total / np.sqrt(len(chord))) / np.tanh(drive)
    return coloured(amplified, rate_hz, _CABINET, tone) * _gate(frames, rate_hz, length_s, 0.0015, 0.12)


def keys(rate_hz: int, rng: np.random.Generator, chord: tuple[int, ...], length_s: float, tone: Tone) -> Wave:
    """A felt-hammered chord: soft partials with a knock and an overtone that dies first."""
    frames = int((length_s + 0.5) * rate_hz)
    total = np.zeros(frames)
    bright = ((60, 0), (300, 0), (1200, -12), (3000, -20), (8000, -36))
    dark = ((60, 0), (250, 0), (800, -20), (3000, -50))
    for midi in chord:
        one = _string(rate_hz, pitch_hz(midi), length_s + 0.5, bright, dark, tone, (0.18, 1.1))
        late = int(rate_hz * rng.uniform(0.0, 0.006))
        total[late:] += one[: frames - late] * rng.uniform(0.8, 1.0)
    knock = noise(frames, rate_hz, rng, ((150, -8), (500, 0), (2500, -10), (9000, -30)), tone)
    total += 0.35 * knock * decay(frames, rate_hz, 0.012)
    return np.asarray(total / np.sqrt(len(chord)) * _gate(frames, rate_hz, length_s, 0.002, 0.25))


def pad(rate_hz: int, rng: np.random.Generator, chord: tuple[int, ...], length_s: float, tone: Tone) -> Wave:
    """Bowed strings, three players to a note."""
    frames = int((length_s + 0.45) * rate_hz)
    t = np.arange(frames) / rate_hz
    total = np.zeros(frames)
    shape = ((60, -4), (250, 0), (1000, -12), (3000, -23), (8000, -34), (16000, -50))
    for midi in chord:
        freqs = harmonics(pitch_hz(midi), rate_hz)
        table = period(curve_gain(shape, freqs) * tone_gain(tone, freqs), rng)
        wobble = 0.0009 * freqs[0] * np.sin(2 * np.pi * (5.0 * t + rng.uniform())) / 5.0
        for cents in rng.normal(0.0, 7.0, 3):
            total += read_period(table, pitch_hz(midi + cents / 100) * t + wobble + rng.uniform())
    return np.asarray(total / np.sqrt(3 * len(chord)) * _gate(frames, rate_hz, length_s, 0.16, 0.4))


def pluck(rate_hz: int, rng: np.random.Generator, midi: int, length_s: float, tone: Tone) -> Wave:
    """A short bright key, for figures above the chords."""
    bright = ((60, 0), (400, 0), (1500, -6), (4000, -12), (9000, -20), (16000, -34))
    dark = ((60, 0), (400, -2), (1500, -26), (5000, -60))
    wave = _string(rate_hz, pitch_hz(midi), length_s + 0.25, bright, dark, tone, (0.09, 0.4))
    tick = noise(wave.size, rate_hz, rng, ((1200, -16), (4500, 0), (14000, -10)))
    wave += 0.12 * tick * decay(wave.size, rate_hz, 0.004)
    return wave * _gate(wave.size, rate_hz, length_s, 0.001, 0.2)


def _string(
    rate_hz: int,
    freq_hz: float,
    length_s: float,
    bright: Curve,
    dark: Curve,
    tone: Tone,
    decays_s: tuple[float, float],
) -> Wave:
    """A struck string: two spectra of the same phases, the bright one dying sooner."""
    freqs = harmonics(freq_hz, rate_hz)
    colour = tone_gain(tone, freqs) / np.sqrt(np.arange(1, freqs.size + 1))
    cycles = freq_hz * np.arange(int(length_s * rate_hz)) / rate_hz
    parts = [
        read_period(period(curve_gain(curve, freqs) * colour), cycles) * decay(cycles.size, rate_hz, time_s)
        for curve, time_s in zip((bright, dark), decays_s, strict=True)
    ]
    return np.asarray(0.7 * parts[0] + 0.6 * parts[1])


def _gate(frames: int, rate_hz: int, length_s: float, rise_s: float, fall_s: float) -> Wave:
    t = np.arange(frames) / rate_hz
    ramp = np.clip((length_s + fall_s - t) / fall_s, 0.0, 1.0)
    return np.asarray(np.minimum(t / rise_s, 1.0) * ramp * ramp * (3.0 - 2.0 * ramp))
