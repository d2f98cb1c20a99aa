"""Players that came with the last songs: horns, hands on skin and a ride, by the means of `band`."""

from __future__ import annotations

import numpy as np

from arsis.demo.drums import hat
from arsis.demo.score import Guest, Stroke, voicing
from arsis.demo.tone import Curve, Wave, curve_gain, decay, harmonics, noise, period, pitch_hz, read_period

from .band import GUESTS

_RIDE_RING_S = 0.3


def _brass(stroke: Stroke, rng: np.random.Generator) -> Wave:
    """Three horns that speak dark, open within a tenth of a second, and are cut off with the tongue."""
    frames = int((stroke.length_s + 0.12) * stroke.rate_hz)
    t = np.arange(frames) / stroke.rate_hz
    dark: Curve = ((60, -3), (300, 0), (900, -7), (2000, -22), (6000, -50))
    open_: Curve = ((60, -6), (300, -2), (900, 0), (2200, -5), (5000, -15), (10000, -32), (16000, -50))
    opened = (0.45 + 0.55 * stroke.strength) * (1.0 - np.exp(-t / 0.045)) * (0.55 + 0.45 * np.exp(-t / 0.5))
    shape = np.minimum(t / 0.014, 1.0) * np.clip((stroke.length_s + 0.08 - t) / 0.08, 0.0, 1.0)
    breath = noise(frames, stroke.rate_hz, rng, ((400, -18), (1500, 0), (4000, -4), (12000, -20)))
    total = 0.1 * breath * decay(frames, stroke.rate_hz, 0.03)
    for midi in voicing(stroke.chord, 58 + 3 * stroke.take, 3):
        scoop = 0.35 * np.exp(-t / 0.03) - rng.normal(0.0, 0.05)
        cycles = np.cumsum(pitch_hz(midi) * 2.0 ** (-scoop / 12.0)) / stroke.rate_hz + rng.uniform()
        freqs = harmonics(pitch_hz(midi), stroke.rate_hz)
        closed, bright = (read_period(period(curve_gain(curve, freqs)), cycles) for curve in (dark, open_))
        total = total + ((1.0 - opened) * closed + opened * bright) / np.sqrt(3.0)
    return np.asarray(total * shape)


def _conga(stroke: Stroke, rng: np.random.Generator) -> Wave:
    """A hand on a tall drum: soft strokes on the low skin, strong ones slapped on the high."""
    frames = int(0.45 * stroke.rate_hz)
    slapped = stroke.strength > 0.7
    freq_hz, ring_s = (292.0, 0.07) if slapped else (204.0, 0.13)
    t = np.arange(frames) / stroke.rate_hz
    cycles = np.cumsum(freq_hz * (1.0 + 0.1 * np.exp(-t / 0.015))) / stroke.rate_hz
    skin = np.sin(2 * np.pi * cycles) + 0.25 * np.sin(2 * np.pi * 2.3 * cycles) * np.exp(-t / 0.02)
    hand = noise(frames, stroke.rate_hz, rng, ((300, -12), (900, 0), (2800, -3), (8000, -20)))
    struck = skin * decay(frames, stroke.rate_hz, ring_s)
    struck += (0.5 if slapped else 0.2) * hand * decay(frames, stroke.rate_hz, 0.008)
    struck *= np.minimum(1.0, t / 0.0008) * np.minimum(1.0, t[::-1] / 0.05)
    return np.asarray(struck / np.max(np.abs(struck)))


def _ride(stroke: Stroke, rng: np.random.Generator) -> Wave:
    """A larger plate than the hat's, struck with the tip."""
    return hat(stroke.rate_hz, rng, stroke.strength, _RIDE_RING_S)


PLAYERS = GUESTS | {
    "brass": Guest(play=_brass, pans=(-0.35, 0.3), room_db=-13.0, level_db=-27.0, variants=2),
    "conga": Guest(play=_conga, pans=(-0.4,), room_db=-14.0, level_db=-19.0, variants=3),
    "ride": Guest(play=_ride, pans=(-0.35,), room_db=-20.0, level_db=-33.0, variants=3),
}
