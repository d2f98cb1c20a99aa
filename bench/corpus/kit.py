"""Drums that the demo's kit lacks: other kicks and snares, hands, and a machine's. Peak 1, as in the demo."""

from __future__ import annotations

import numpy as np

from arsis.demo.score import Guest, Stroke
from arsis.demo.tone import Wave, decay, noise


def _thud(stroke: Stroke, rng: np.random.Generator) -> Wave:
    """A machine's kick: short, its pitch falling fast onto 52 Hz."""
    return _kick(stroke, rng, 52.0, 0.13, 0.3)


def _boom(stroke: Stroke, rng: np.random.Generator) -> Wave:
    """A slow, deep kick with little beater."""
    return _kick(stroke, rng, 46.0, 0.2, 0.14)


def _punch(stroke: Stroke, rng: np.random.Generator) -> Wave:
    """A tight kick with a hard beater."""
    return _kick(stroke, rng, 62.0, 0.055, 0.45)


def _kick(stroke: Stroke, rng: np.random.Generator, freq_hz: float, ring_s: float, beater: float) -> Wave:
    frames = int((0.1 + 3.0 * ring_s) * stroke.rate_hz)
    t = np.arange(frames) / stroke.rate_hz
    cycles = freq_hz * t + 60.0 * 0.03 * (1 - np.exp(-t / 0.03)) + 300.0 * 0.006 * (1 - np.exp(-t / 0.006))
    body = np.sin(2 * np.pi * cycles) * np.minimum(1.25 * decay(frames, stroke.rate_hz, ring_s), 1.0)
    click = noise(frames, stroke.rate_hz, rng, ((300, -24), (1500, -3), (3500, 0), (8000, -8), (16000, -24)))
    struck = np.tanh(1.6 * body) + beater * (0.5 + 0.5 * stroke.strength) * click * decay(
        frames, stroke.rate_hz, 0.004
    )
    return _drum(struck, stroke.rate_hz)


def _crack(stroke: Stroke, rng: np.random.Generator) -> Wave:
    """A tight, high snare."""
    return _snare(stroke, rng, 236.0, 0.05, 0.055)


def _slab(stroke: Stroke, rng: np.random.Generator) -> Wave:
    """A deep, long snare."""
    return _snare(stroke, rng, 158.0, 0.11, 0.15)


def _snare(stroke: Stroke, rng: np.random.Generator, freq_hz: float, shell_s: float, wires_s: float) -> Wave:
    frames = int((0.1 + 3.0 * wires_s) * stroke.rate_hz)
    t = np.arange(frames) / stroke.rate_hz
    cycles = np.cumsum(freq_hz * (1.0 + 0.22 * np.exp(-t / 0.025))) / stroke.rate_hz
    shell = np.sin(2 * np.pi * cycles) + 0.5 * np.sin(2 * np.pi * 1.72 * cycles)
    wires = noise(frames, stroke.rate_hz, rng, ((150, -12), (350, 0), (2000, -1), (5000, -5), (16000, -24)))
    crack = noise(frames, stroke.rate_hz, rng, ((400, -20), (2400, 0), (7000, -4), (16000, -14)))
    struck = 0.45 * shell * decay(frames, stroke.rate_hz, shell_s)
    struck += 0.34 * wires * decay(frames, stroke.rate_hz, wires_s)
    struck += 0.5 * stroke.strength * crack * decay(frames, stroke.rate_hz, 0.005)
    return _drum(np.tanh(1.5 * struck), stroke.rate_hz)


def _clap(stroke: Stroke, rng: np.random.Generator) -> Wave:
    """A few hands, not quite together."""
    frames = int(0.3 * stroke.rate_hz)
    hands = noise(frames, stroke.rate_hz, rng, ((400, -20), (1000, 0), (2500, -2), (6000, -7), (16000, -16)))
    shape = 0.5 * decay(frames, stroke.rate_hz, 0.06)
    for late_s in np.cumsum([0.0, *rng.uniform(0.007, 0.012, 2)]):
        late = int(late_s * stroke.rate_hz)
        shape[late:] += decay(frames - late, stroke.rate_hz, 0.005)
    return _drum(hands * shape, stroke.rate_hz)


def _rim(stroke: Stroke, rng: np.random.Generator) -> Wave:
    """A stick laid over the rim."""
    frames = int(0.12 * stroke.rate_hz)
    t = np.arange(frames) / stroke.rate_hz
    wood = np.sin(2 * np.pi * 430.0 * t) + 0.8 * np.sin(2 * np.pi * 1_690.0 * t)
    tick = noise(frames, stroke.rate_hz, rng, ((500, -12), (2500, 0), (9000, -8)))
    return _drum((wood + 0.6 * tick) * decay(frames, stroke.rate_hz, 0.013), stroke.rate_hz)


def _jingle(stroke: Stroke, rng: np.random.Generator) -> Wave:
    """A tambourine: small plates and a hand."""
    frames = int(0.2 * stroke.rate_hz)
    plates = noise(
        frames, stroke.rate_hz, rng, ((2000, -30), (5000, -8), (8000, 0), (12000, -3), (18000, -14))
    )
    hand = noise(frames, stroke.rate_hz, rng, ((300, -6), (900, 0), (3000, -12)))
    struck = plates * decay(frames, stroke.rate_hz, 0.045) + 0.3 * hand * decay(frames, stroke.rate_hz, 0.006)
    return _drum(struck, stroke.rate_hz)


def _drum(struck: Wave, rate_hz: int) -> Wave:
    """Peak 1, with a start and an end that do not click."""
    t = np.arange(struck.size) / rate_hz
    shaped = struck * np.minimum(1.0, t / 0.0006) * np.minimum(1.0, t[::-1] / 0.04)
    return np.asarray(shaped / np.max(np.abs(shaped)))


DRUMS = {
    "thud": Guest(play=_thud, pans=(0.0,), room_db=-34.0, level_db=-9.0, variants=3),
    "boom": Guest(play=_boom, pans=(0.0,), room_db=-30.0, level_db=-9.5, variants=3),
    "punch": Guest(play=_punch, pans=(0.0,), room_db=-28.0, level_db=-8.0, variants=3),
    "crack": Guest(play=_crack, pans=(-0.04,), room_db=-14.0, level_db=-11.0, variants=3),
    "slab": Guest(play=_slab, pans=(0.0,), room_db=-10.0, level_db=-11.0, variants=3),
    "clap": Guest(play=_clap, pans=(-0.1, 0.1), room_db=-13.0, level_db=-18.0, variants=3),
    "rim": Guest(play=_rim, pans=(0.12,), room_db=-12.0, level_db=-19.0, variants=3),
    "jingle": Guest(play=_jingle, pans=(0.45,), room_db=-16.0, level_db=-31.0, variants=3),
}
