"""Players that the demo's band lacks: other basses, guitars and keys, by the same small means.

Each has an RMS of about 1 when struck, as in the demo. `GUESTS` are they and the drums of `kit`.
"""

from __future__ import annotations

import numpy as np

from arsis.demo.score import Guest, Stroke, chord_classes, voicing
from arsis.demo.tone import (
    Curve,
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

from .kit import DRUMS

_BIG_CABINET: Curve = (
    (40, -20),
    (75, -4),
    (120, 0),
    (400, -4),
    (900, -5),
    (2000, -3),
    (3200, -1),
    (4800, -5),
    (7000, -16),
    (12000, -34),
)


def _sub(stroke: Stroke, rng: np.random.Generator) -> Wave:
    """A long round bass with a few harmonics, so that small loudspeakers have it too."""
    frames = int((stroke.length_s + 0.1) * stroke.rate_hz)
    freqs = harmonics(pitch_hz(stroke.low_midi), stroke.rate_hz, 1_200.0)
    shape: Curve = ((30, 0), (80, 0), (180, -10), (400, -24), (1200, -40))
    table = period(curve_gain(shape, freqs) * tone_gain(stroke.tone, freqs))
    wave = read_period(table, pitch_hz(stroke.low_midi) * np.arange(frames) / stroke.rate_hz)
    return np.tanh(1.1 * wave * decay(frames, stroke.rate_hz, 0.9)) * _held(stroke, frames, 0.006, 0.09)


def _saw_bass(stroke: Stroke, rng: np.random.Generator) -> Wave:
    """A machine's bass: a bright start that closes."""
    bright: Curve = ((30, -2), (120, 0), (500, -5), (1500, -12), (4000, -26), (9000, -46))
    dark: Curve = ((30, 0), (120, 0), (300, -9), (900, -28), (2500, -56))
    frames = int((stroke.length_s + 0.1) * stroke.rate_hz)
    wave = _struck(stroke, stroke.low_midi, frames, bright, dark, (0.14, 3.0))
    return np.tanh(0.9 * wave) * _held(stroke, frames, 0.003, 0.04)


def _picked_bass(stroke: Stroke, rng: np.random.Generator) -> Wave:
    """A bass played with a plectrum through a driven amplifier."""
    bright: Curve = ((30, -5), (80, -1), (250, 0), (900, -7), (2200, -12), (5000, -30), (9000, -50))
    dark: Curve = ((30, -3), (80, 0), (250, -5), (800, -22), (2400, -50))
    frames = int((stroke.length_s + 0.1) * stroke.rate_hz)
    wave = _struck(stroke, stroke.low_midi, frames, bright, dark, (0.4, 2.4))
    pick = noise(frames, stroke.rate_hz, rng, ((500, -14), (2000, 0), (5000, -8), (12000, -30)))
    return (np.tanh(1.5 * wave) + 0.15 * pick * decay(frames, stroke.rate_hz, 0.005)) * _held(
        stroke, frames, 0.002, 0.05
    )


def _wall(stroke: Stroke, rng: np.random.Generator) -> Wave:
    """A low electric guitar, root, fifth and octave, through a large driven amplifier."""
    root = 40 + (chord_classes(stroke.chord)[0] - 40) % 12
    frames = int((stroke.length_s + 0.3) * stroke.rate_hz)
    bright: Curve = ((60, -2), (200, 0), (1000, -6), (3000, -12), (7000, -22), (12000, -36))
    dark: Curve = ((60, -2), (200, 0), (700, -12), (2500, -30), (6000, -56))
    total = np.zeros(frames)
    for interval in (0, 7, 12):
        cents = rng.normal(0.0, 4.0)
        total += _struck(stroke, root + interval + cents / 100, frames, bright, dark, (0.5, 2.2), ()) / 1.7
    drive = 2.5 + 2.0 * stroke.strength
    amplified = np.tanh(drive * total) / np.tanh(drive)
    return coloured(amplified, stroke.rate_hz, _BIG_CABINET, stroke.tone) * _held(stroke, frames, 0.002, 0.06)


def _strum(stroke: Stroke, rng: np.random.Generator) -> Wave:
    """Six steel strings, one after the other; weak strokes go upward."""
    notes = voicing(stroke.chord, 41, 6)
    notes = notes if stroke.strength > 0.5 else notes[:1:-1]
    frames = int((stroke.length_s + 0.5) * stroke.rate_hz)
    total = np.zeros(frames)
    for string, midi in enumerate(notes):
        late = int(stroke.rate_hz * (0.009 * string + rng.uniform(0.0, 0.003)))
        total[late:] += _steel(stroke, midi + rng.normal(0.0, 0.03), frames, rng)[: frames - late]
    return np.asarray(total / np.sqrt(len(notes)) * _held(stroke, frames, 0.001, 0.3))


def _finger(stroke: Stroke, rng: np.random.Generator) -> Wave:
    """One steel string of the chord, as a finger pattern takes them; the thumb on the beats."""
    thumb, fingers = voicing(stroke.chord, 41, 7)[:2], voicing(stroke.chord, 41, 7)[2:]
    beat, half = divmod(stroke.step // 2, 2)
    midi = fingers[(2, 4, 3, 1)[beat]] if half else thumb[beat % 2]
    frames = int((max(stroke.length_s, 0.5) + 0.6) * stroke.rate_hz)
    return _steel(stroke, midi, frames, rng) * np.minimum(
        1.0, np.arange(frames)[::-1] / (0.3 * stroke.rate_hz)
    )


def _steel(stroke: Stroke, midi: float, frames: int, rng: np.random.Generator) -> Wave:
    bright: Curve = ((60, -6), (160, 0), (700, -4), (2500, -7), (6000, -14), (12000, -22), (18000, -36))
    dark: Curve = ((60, -5), (180, 0), (600, -8), (1800, -26), (5000, -56))
    wave = _struck(stroke, midi, frames, bright, dark, (0.22, 0.9))
    nail = noise(frames, stroke.rate_hz, rng, ((1000, -14), (4000, 0), (10000, -6), (18000, -20)))
    return np.asarray(wave + 0.2 * nail * decay(frames, stroke.rate_hz, 0.003))


def _twang(stroke: Stroke, rng: np.random.Generator) -> Wave:
    """A clean electric guitar that walks over the chord: a tune where nobody sings."""
    ladder = voicing(stroke.chord, 62, 5)
    midi = ladder[(0, 1, 2, 4, 3, 2, 4, 1)[stroke.step // 2]]
    bright: Curve = ((60, -4), (300, 0), (1200, -1), (3000, -2), (5500, -9), (12000, -28))
    dark: Curve = ((60, -2), (300, 0), (1000, -6), (3000, -18), (8000, -44))
    frames = int((stroke.length_s + 0.3) * stroke.rate_hz)
    wave = np.tanh(1.2 * _struck(stroke, midi, frames, bright, dark, (0.3, 1.8)))
    return wave * _held(stroke, frames, 0.002, 0.15)


def _tine(stroke: Stroke, rng: np.random.Generator) -> Wave:
    """An electric piano: a round tone, a bell that dies first, and a slow tremolo."""
    frames = int((stroke.length_s + 0.4) * stroke.rate_hz)
    t = np.arange(frames) / stroke.rate_hz
    total = np.zeros(frames)
    notes = voicing(stroke.chord, 53, 4)
    for midi in notes:
        cycles = pitch_hz(midi + rng.normal(0.0, 0.02)) * t
        bell = np.sin(2 * np.pi * 7.0 * cycles) * decay(frames, stroke.rate_hz, 0.12)
        bend = (0.5 + 0.9 * stroke.strength) * np.sin(2 * np.pi * cycles) * decay(frames, stroke.rate_hz, 0.5)
        tone = np.sin(2 * np.pi * cycles + bend) + 0.3 * stroke.strength * bell
        total += tone * decay(frames, stroke.rate_hz, 1.4)
    sway = 1.0 + 0.22 * np.sin(2 * np.pi * 4.6 * t + np.pi * stroke.take)
    hammer = noise(frames, stroke.rate_hz, rng, ((300, -14), (1200, -2), (3000, 0), (6000, -8), (12000, -20)))
    total += 1.2 * stroke.strength * hammer * decay(frames, stroke.rate_hz, 0.012)
    total = np.tanh(0.7 * total) / 0.7  # its small amplifier
    return np.asarray(total * sway * 1.3 / np.sqrt(len(notes)) * _held(stroke, frames, 0.002, 0.15))


def _grand(stroke: Stroke, rng: np.random.Generator) -> Wave:
    """A piano with open lid: both hands on the chord, hammers, strings that are not quite in tune."""
    frames = int((stroke.length_s + 0.6) * stroke.rate_hz)
    bright: Curve = ((60, -6), (200, 0), (800, -3), (2000, -6), (4000, -10), (8000, -17), (14000, -28))
    dark: Curve = ((60, -4), (200, 0), (600, -6), (1500, -18), (4000, -40))
    total = np.zeros(frames)
    notes = (stroke.low_midi, *voicing(stroke.chord, 53, 5))
    for midi in notes:
        late = int(stroke.rate_hz * rng.uniform(0.0, 0.007))
        touch = rng.uniform(0.8, 1.0) * (0.7 if midi == stroke.low_midi else 1.0)
        for cents in (-1.2, 1.4):
            string = _struck(stroke, midi + cents / 100, frames - late, bright, dark, (0.3, 1.5))
            total[late:] += 0.7 * touch * string
    hammer = noise(frames, stroke.rate_hz, rng, ((150, -8), (500, -2), (1800, 0), (4000, -4), (12000, -16)))
    total += 0.45 * stroke.strength * hammer * decay(frames, stroke.rate_hz, 0.009)
    return np.asarray(total / np.sqrt(len(notes)) * _held(stroke, frames, 0.0015, 0.3))


def _organ(stroke: Stroke, rng: np.random.Generator) -> Wave:
    """Drawbars and a turning horn."""
    frames = int((stroke.length_s + 0.1) * stroke.rate_hz)
    t = np.arange(frames) / stroke.rate_hz
    turn = 0.0006 * np.sin(2 * np.pi * (6.3 * t + 0.5 * stroke.take))
    total = np.zeros(frames)
    notes = voicing(stroke.chord, 57, 4)
    for midi in notes:
        for drawbar, gain in (
            (0.5, 0.8),
            (1.0, 1.0),
            (1.5, 0.5),
            (2.0, 0.6),
            (3.0, 0.3),
            (4.0, 0.28),
            (8.0, 0.12),
        ):
            total += gain * np.sin(2 * np.pi * (pitch_hz(midi) * drawbar * (t + turn) + rng.uniform()))
    return np.asarray(0.8 * total / np.sqrt(len(notes)) * _held(stroke, frames, 0.008, 0.05))


def _stab(stroke: Stroke, rng: np.random.Generator) -> Wave:
    """A machine's chord: three saws to a note, closing as it is held."""
    bright: Curve = ((60, -6), (250, 0), (1000, -5), (3000, -9), (8000, -17), (16000, -32))
    dark: Curve = ((60, -4), (250, 0), (800, -10), (2500, -28), (8000, -56))
    frames = int((stroke.length_s + 0.25) * stroke.rate_hz)
    total = np.zeros(frames)
    notes = voicing(stroke.chord, 57, 4)
    for midi in notes:
        for cents in rng.normal(0.0, 8.0, 3):
            total += _struck(
                stroke, midi + cents / 100, frames, bright, dark, (0.3, 2.5), turned=rng.uniform()
            )
    return np.asarray(total / np.sqrt(3 * len(notes)) * _held(stroke, frames, 0.004, 0.15))


def _haze(stroke: Stroke, rng: np.random.Generator) -> Wave:
    """A wide slow pad with breath in it, a little brighter as it goes on."""
    frames = int((stroke.length_s + 0.9) * stroke.rate_hz)
    t = np.arange(frames) / stroke.rate_hz
    shape: Curve = ((60, -6), (200, 0), (900, -8), (3000, -16), (8000, -26), (16000, -44))
    total = np.zeros(frames)
    notes = voicing(stroke.chord, 45 + 10 * stroke.take, 4)
    for midi in notes:
        freqs = harmonics(pitch_hz(midi), stroke.rate_hz)
        table = period(curve_gain(shape, freqs) * tone_gain(stroke.tone, freqs), rng)
        for cents in rng.normal(0.0, 9.0, 3):
            total += read_period(table, pitch_hz(midi + cents / 100) * t + rng.uniform())
    breath = noise(
        frames, stroke.rate_hz, rng, ((500, -20), (2500, -6), (7000, 0), (14000, -3), (18000, -14))
    )
    total = total / np.sqrt(3 * len(notes)) + 0.07 * breath
    return np.asarray(total * _held(stroke, frames, min(0.5, 0.4 * stroke.length_s), 0.85))


def _struck(
    stroke: Stroke,
    midi: float,
    frames: int,
    bright: Curve,
    dark: Curve,
    decays_s: tuple[float, float],
    tone: tuple[()] | None = None,
    turned: float = 0.0,
) -> Wave:
    """Two spectra of the same phases, the bright one dying sooner, as the demo's strings are made."""
    freqs = harmonics(pitch_hz(midi), stroke.rate_hz)
    colour = tone_gain(stroke.tone if tone is None else tone, freqs) / np.sqrt(np.arange(1, freqs.size + 1))
    cycles = pitch_hz(midi) * np.arange(frames) / stroke.rate_hz + turned
    early, late = (
        read_period(period(curve_gain(curve, freqs) * colour), cycles) * decay(frames, stroke.rate_hz, time_s)
        for curve, time_s in zip((bright, dark), decays_s, strict=True)
    )
    return np.asarray(0.7 * early + 0.6 * late)


def _held(stroke: Stroke, frames: int, rise_s: float, fall_s: float) -> Wave:
    t = np.arange(frames) / stroke.rate_hz
    ramp = np.clip((stroke.length_s + fall_s - t) / fall_s, 0.0, 1.0)
    return np.asarray(np.minimum(t / rise_s, 1.0) * ramp * ramp * (3.0 - 2.0 * ramp))


GUESTS = {
    **DRUMS,
    "sub": Guest(play=_sub, pans=(0.0,), room_db=-60.0, level_db=-17.0, low=True),
    "saw_bass": Guest(play=_saw_bass, pans=(0.0,), room_db=-45.0, level_db=-18.0, low=True),
    "picked_bass": Guest(play=_picked_bass, pans=(0.0,), room_db=-40.0, level_db=-18.0, low=True, variants=2),
    "wall": Guest(play=_wall, pans=(-0.85, 0.85), room_db=-22.0, level_db=-23.0, variants=2),
    "strum": Guest(play=_strum, pans=(-0.55, 0.55), room_db=-16.0, level_db=-25.0, variants=2),
    "finger": Guest(play=_finger, pans=(-0.2,), room_db=-13.0, level_db=-22.0, variants=2),
    "twang": Guest(play=_twang, pans=(0.25,), room_db=-10.0, level_db=-23.0, variants=2),
    "tine": Guest(play=_tine, pans=(-0.45, 0.45), room_db=-16.0, level_db=-26.0),
    "grand": Guest(play=_grand, pans=(-0.35, 0.35), room_db=-13.0, level_db=-24.0, variants=2),
    "organ": Guest(play=_organ, pans=(-0.4, 0.4), room_db=-14.0, level_db=-31.0),
    "stab": Guest(play=_stab, pans=(-0.7, 0.7), room_db=-15.0, level_db=-27.0),
    "haze": Guest(play=_haze, pans=(-0.75, 0.75), room_db=-9.0, level_db=-30.0),
}
