"""Players that came with `AFTER`: a clavinet, a mouth organ, a bowed bass and a tuned log."""

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

from .parlour import PARLOUR

_MUTED_S = 0.045
_TUNE = (0, 2, 1, 3, 2, 4, 3, 1)


def _clav(stroke: Stroke, rng: np.random.Generator) -> Wave:
    """Strings struck from below, under pickups; the weakest strokes are damped at once."""
    length_s = _MUTED_S if stroke.strength < 0.5 else stroke.length_s
    frames = int((length_s + 0.12) * stroke.rate_hz)
    t = np.arange(frames) / stroke.rate_hz
    bright: Curve = ((60, -9), (200, -1), (700, 0), (1800, -3), (3500, -8), (7000, -18), (14000, -38))
    dark: Curve = ((60, -5), (200, 0), (800, -8), (2500, -24), (7000, -52))
    total = np.zeros(frames)
    notes = voicing(stroke.chord, 52, 3)
    for midi in notes:
        freqs = harmonics(pitch_hz(midi), stroke.rate_hz)
        colour = tone_gain(stroke.tone, freqs) / np.sqrt(np.arange(1, freqs.size + 1))
        cycles = pitch_hz(midi) * t
        early = read_period(period(curve_gain(bright, freqs) * colour), cycles)
        late = read_period(period(curve_gain(dark, freqs) * colour), cycles)
        total += 0.8 * early * decay(frames, stroke.rate_hz, 0.16)
        total += 0.6 * late * decay(frames, stroke.rate_hz, 0.7)
    hammer = noise(frames, stroke.rate_hz, rng, ((400, -12), (1800, 0), (4500, -5), (12000, -22)))
    total = np.tanh(total / np.sqrt(len(notes))) + 0.2 * hammer * decay(frames, stroke.rate_hz, 0.005)
    return np.asarray(total * np.minimum(t / 0.001, 1.0) * np.clip((length_s + 0.04 - t) / 0.04, 0.0, 1.0))


def _harp(stroke: Stroke, rng: np.random.Generator) -> Wave:
    """A mouth organ in a bullet microphone: two reeds, drawn up to their pitch, a hand that opens."""
    frames = int((stroke.length_s + 0.1) * stroke.rate_hz)
    t = np.arange(frames) / stroke.rate_hz
    shape: Curve = ((60, -20), (300, -2), (900, 0), (2000, -2), (3500, -9), (7000, -24), (14000, -44))
    ladder = voicing(stroke.chord, 67, 6)
    rung = _TUNE[(stroke.step // 2) % 8]
    total = np.zeros(frames)
    for midi in ladder[rung : rung + 2]:
        scoop = 0.7 * np.exp(-t / 0.05) + 0.08 * np.sin(2 * np.pi * 5.6 * t) * np.minimum(t / 0.4, 1.0)
        cycles = np.cumsum(pitch_hz(midi) * 2.0 ** (-scoop / 12.0)) / stroke.rate_hz + rng.uniform()
        freqs = harmonics(pitch_hz(midi), stroke.rate_hz)
        total += read_period(period(curve_gain(shape, freqs) * tone_gain(stroke.tone, freqs)), cycles)
    breath = noise(frames, stroke.rate_hz, rng, ((400, -16), (1500, 0), (4000, -8), (9000, -26)))
    hand = 0.75 + 0.25 * np.minimum(t / 0.15, 1.0)
    ends = np.minimum(t / 0.02, 1.0) * np.clip((stroke.length_s + 0.06 - t) / 0.06, 0.0, 1.0)
    return np.asarray((1.5 * np.tanh(total / 1.3) + 0.03 * breath) * hand * ends)


def _arco(stroke: Stroke, rng: np.random.Generator) -> Wave:
    """A bass under the bow: it speaks slowly, and hair is heard on the string."""
    frames = int((stroke.length_s + 0.35) * stroke.rate_hz)
    t = np.arange(frames) / stroke.rate_hz
    shape: Curve = ((30, -3), (70, 0), (200, 0), (450, -5), (1000, -14), (2500, -26), (6000, -44))
    freqs = harmonics(pitch_hz(stroke.low_midi), stroke.rate_hz)
    table = period(curve_gain(shape, freqs) * tone_gain(stroke.tone, freqs), rng)
    sway = 0.0012 * np.sin(2 * np.pi * 4.7 * t + rng.uniform(0.0, 6.0)) * np.minimum(t / 0.5, 1.0)
    cycles = pitch_hz(stroke.low_midi) * (t + sway / 4.7)
    hair = noise(frames, stroke.rate_hz, rng, ((200, -14), (900, 0), (2500, -6), (7000, -22)))
    swell = 0.8 + 0.2 * np.sin(np.pi * np.minimum(t / stroke.length_s, 1.0))
    ends = np.minimum(t / 0.07, 1.0) * np.clip((stroke.length_s + 0.3 - t) / 0.3, 0.0, 1.0) ** 2
    return np.asarray((read_period(table, cycles) + 0.02 * hair) * swell * ends)


def _log(stroke: Stroke, rng: np.random.Generator) -> Wave:
    """A machine's hollow log: a low note that drops onto its pitch, with wood at its start."""
    frames = int((stroke.length_s + 0.15) * stroke.rate_hz)
    t = np.arange(frames) / stroke.rate_hz
    freq_hz = pitch_hz(stroke.low_midi)
    cycles = freq_hz * (t + 0.6 * 0.02 * (1.0 - np.exp(-t / 0.02)))
    body = np.sin(2 * np.pi * cycles) + 0.35 * np.sin(4 * np.pi * cycles) * decay(frames, stroke.rate_hz, 0.2)
    body += 0.18 * np.sin(6 * np.pi * cycles) * decay(frames, stroke.rate_hz, 0.1)
    wood = noise(frames, stroke.rate_hz, rng, ((200, -10), (600, 0), (1800, -6), (6000, -28)))
    struck = np.tanh(1.6 * body * decay(frames, stroke.rate_hz, 0.5))
    struck += 0.25 * stroke.strength * wood * decay(frames, stroke.rate_hz, 0.012)
    ends = np.minimum(t / 0.003, 1.0) * np.clip((stroke.length_s + 0.1 - t) / 0.1, 0.0, 1.0) ** 2
    return np.asarray(1.2 * struck * ends)


STAGE = PARLOUR | {
    "clav": Guest(play=_clav, pans=(-0.5,), room_db=-18.0, level_db=-21.0, variants=2),
    "harp": Guest(play=_harp, pans=(0.35,), room_db=-11.0, level_db=-27.0, variants=2),
    "arco": Guest(play=_arco, pans=(0.0,), room_db=-20.0, level_db=-19.0, low=True, variants=2),
    "log": Guest(play=_log, pans=(0.0,), room_db=-34.0, level_db=-18.0, low=True, variants=2),
}
