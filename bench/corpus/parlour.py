"""Players that came with `NEXT`: an accordion, mallets on metal and on wood, and brushes."""

from __future__ import annotations

import numpy as np

from arsis.demo.score import Guest, Stroke, voicing
from arsis.demo.tone import (
    Curve,
    Wave,
    curve_gain,
    decay,
    harmonics,
    noise,
    period,
    pitch_hz,
    read_period,
    tone_gain,
)

from .horns import PLAYERS

_WALK = (0, 2, 4, 1, 3, 2, 5, 3)


def _accordion(stroke: Stroke, rng: np.random.Generator) -> Wave:
    """Two reeds to a note, a few cents apart, on bellows that lean into the start."""
    frames = int((stroke.length_s + 0.1) * stroke.rate_hz)
    t = np.arange(frames) / stroke.rate_hz
    shape: Curve = ((60, -8), (250, 0), (900, -1), (2200, -6), (4500, -16), (9000, -30), (16000, -48))
    total = np.zeros(frames)
    notes = voicing(stroke.chord, 56, 4)
    for midi in notes:
        freqs = harmonics(pitch_hz(midi), stroke.rate_hz)
        table = period(curve_gain(shape, freqs) * tone_gain(stroke.tone, freqs))
        for cents in (0.0, 7.0 + rng.normal(0.0, 1.0)):
            total += read_period(table, pitch_hz(midi + cents / 100) * t + rng.uniform())
    air = noise(frames, stroke.rate_hz, rng, ((500, -20), (2000, -2), (6000, 0), (14000, -14)))
    swell = 0.85 + 0.15 * np.exp(-t / 0.12) + 0.06 * np.sin(2 * np.pi * 1.3 * t + rng.uniform(0.0, 6.0))
    ends = np.minimum(t / 0.016, 1.0) * np.clip((stroke.length_s + 0.07 - t) / 0.07, 0.0, 1.0)
    return np.asarray((total / np.sqrt(2 * len(notes)) + 0.02 * air) * swell * ends)


def _vibes(stroke: Stroke, rng: np.random.Generator) -> Wave:
    """Soft mallets on metal bars: four at a time, over slowly turning fans."""
    frames = int((stroke.length_s + 0.7) * stroke.rate_hz)
    t = np.arange(frames) / stroke.rate_hz
    total = np.zeros(frames)
    notes = voicing(stroke.chord, 60, 4)
    for midi in notes:
        late = int(stroke.rate_hz * rng.uniform(0.0, 0.008))
        bar = _bar(stroke, midi, frames - late, (1.3, 0.25, 0.06), (1.0, 0.3, 0.12))
        total[late:] += rng.uniform(0.8, 1.0) * bar
    fans = 1.0 + 0.2 * np.sin(2 * np.pi * 4.1 * t + rng.uniform(0.0, 6.0))
    ends = np.minimum(t / 0.002, 1.0) * np.clip((stroke.length_s + 0.6 - t) / 0.6, 0.0, 1.0) ** 2
    felt = noise(frames, stroke.rate_hz, rng, ((200, -8), (700, 0), (2500, -6), (8000, -24)))
    total = total / np.sqrt(len(notes)) + 0.3 * felt * decay(frames, stroke.rate_hz, 0.008)
    return np.asarray(total * fans * ends)


def _marimba(stroke: Stroke, rng: np.random.Generator) -> Wave:
    """One wooden bar of the chord; the second player walks the same ladder from another rung."""
    ladder = voicing(stroke.chord, 60, 6)
    midi = ladder[_WALK[(stroke.step + 3 * stroke.take) % 8]]
    frames = int(0.9 * stroke.rate_hz)
    t = np.arange(frames) / stroke.rate_hz
    ring_s = 0.24 * 2.0 ** ((67 - midi) / 24.0)
    bar = _bar(stroke, midi, frames, (ring_s, 0.05, 0.018), (1.0, 0.4, 0.25 * stroke.strength))
    mallet = noise(frames, stroke.rate_hz, rng, ((200, -4), (900, 0), (3000, -5), (9000, -22)))
    bar += 0.5 * stroke.strength * mallet * decay(frames, stroke.rate_hz, 0.006)
    return np.asarray(bar * np.minimum(t / 0.0012, 1.0) * np.minimum(1.0, t[::-1] / 0.1))


def _bar(
    stroke: Stroke,
    midi: int,
    frames: int,
    rings_s: tuple[float, float, float],
    heights: tuple[float, float, float],
) -> Wave:
    """A tuned bar: its first partial, two octaves above it, and about three and a third."""
    t = np.arange(frames) / stroke.rate_hz
    total = np.zeros(frames)
    for ratio, ring_s, height in zip((1.0, 4.0, 10.0), rings_s, heights, strict=True):
        freq_hz = ratio * pitch_hz(midi)
        if freq_hz < 0.45 * stroke.rate_hz:
            gain = height * float(tone_gain(stroke.tone, np.array([freq_hz]))[0])
            total += gain * np.sin(2 * np.pi * freq_hz * t) * decay(frames, stroke.rate_hz, ring_s)
    return np.asarray(np.sqrt(2.0) * total)


def _brush(stroke: Stroke, rng: np.random.Generator) -> Wave:
    """Wires swept into a snare's skin; strong strokes are slapped."""
    frames = int(0.34 * stroke.rate_hz)
    t = np.arange(frames) / stroke.rate_hz
    skin = noise(frames, stroke.rate_hz, rng, ((150, -14), (350, -3), (1500, 0), (5000, -3), (14000, -14)))
    swept = np.minimum(t / 0.03, 1.0) * decay(frames, stroke.rate_hz, 0.08)
    slap = stroke.strength * (np.minimum(t / 0.001, 1.0) * decay(frames, stroke.rate_hz, 0.03))
    shell = np.sin(2 * np.pi * 205.0 * t) * decay(frames, stroke.rate_hz, 0.05) * np.minimum(t / 0.002, 1.0)
    struck = 0.5 * skin * (0.5 * swept + slap) + 0.6 * stroke.strength * shell
    struck *= np.minimum(1.0, t[::-1] / 0.05)
    return np.asarray(struck / np.max(np.abs(struck)))


PARLOUR = PLAYERS | {
    "accordion": Guest(play=_accordion, pans=(0.3,), room_db=-13.0, level_db=-25.0, variants=2),
    "vibes": Guest(play=_vibes, pans=(-0.4, 0.4), room_db=-13.0, level_db=-27.0, variants=2),
    "marimba": Guest(play=_marimba, pans=(-0.5, 0.5), room_db=-12.0, level_db=-22.0, variants=3),
    "brush": Guest(play=_brush, pans=(0.05,), room_db=-14.0, level_db=-16.0, variants=3),
}
