"""Where a section can be entered: the foot of the attack at its start, and the fade that ends before it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from arsis.audio import Block
from arsis.dsp.kernels.biquad import cascade, rest_state
from arsis.units import ms_to_frames, seconds_to_frames

from .running import Array

RISE_MS = 4.0  # energy is that of the last 4 ms, and rises are taken over 4 ms: short against an attack
MEMORY_MS = 16.0  # a period of a low bass: its ripple is no attack
BACK_MS, AHEAD_MS = 60.0, 50.0  # how far from the expected place an attack may lie
NEAR_MS = 20.0  # deviation of the preference for the expected place
FOOT = 0.12  # of the steepest rise: below it the attack has not begun
STRUCK = 0.15  # decades of energy, three bands together, that make an attack
EDGES_HZ = (160.0, 1500.0)  # low, middle, high

CONTEXT_MS = 120.0  # of sound read on both sides of the expected place

LEAD_MS = 2.0  # the fade ends this long before the foot: the attack is then wholly the new section's
FADE_MS = 20.0  # under 0.5 dB of audible excess on every kind of sound tried (docs/joins.md)
FADE_HELD_MS = 30.0  # where nothing is struck: a held note or a pad runs across the boundary


@dataclass(frozen=True, slots=True)
class Foot:
    """frame: the first of the attack. strength: its steepest rise, decades of energy; 0: nothing struck."""

    frame: int
    strength: float


@dataclass(frozen=True, slots=True)
class JoinSuggestion:
    """Enter the section at `at_s` with a raised-cosine fade of `fade_ms` that ends `lead_ms` before."""

    at_s: float
    fade_ms: float
    lead_ms: float


def attack_foot(block: Block, rate_hz: int, expected_frame: int) -> Foot:
    """The foot of the attack nearest `expected_frame` (counted in the block), to the frame.

    Steepest rise of the logarithm of energy in three bands, all causal so that nothing smears backwards,
    near the expected frame; then back to where that rise begins.
    """
    nothing = Foot(expected_frame, 0.0)
    rise_frames = max(ms_to_frames(RISE_MS, rate_hz), 1)
    low = max(expected_frame - ms_to_frames(BACK_MS, rate_hz), 0)
    high = min(expected_frame + ms_to_frames(AHEAD_MS, rate_hz), block.shape[1])
    if high - low < 2 * rise_frames:
        return nothing
    level = np.zeros(block.shape[1])
    for band in _bands(block.mean(axis=0), rate_hz):
        energy = _past_mean(band**2, rise_frames)
        level += np.log10(energy + 1e-3 * energy.max() + 1e-12)
    rise = _rise(level, rise_frames, ms_to_frames(MEMORY_MS, rate_hz))
    away_ms = (np.arange(low, high) - expected_frame) * (1000.0 / rate_hz)
    peak = low + int((rise[low:high] * np.exp(-0.5 * (away_ms / NEAR_MS) ** 2)).argmax())
    if rise[peak] < STRUCK:
        return nothing
    flat = np.flatnonzero(rise[:peak] <= FOOT * rise[peak])
    return Foot(int(flat[-1]) + 1 if len(flat) else 0, float(rise[peak]))


def suggest_join(foot: Foot, at_s: float) -> JoinSuggestion:
    """The fade into a section that starts at `at_s`."""
    return JoinSuggestion(at_s, FADE_MS if foot.strength else FADE_HELD_MS, LEAD_MS)


def join_near(time_s: float, read: Callable[[int, int], Block], frames: int, rate_hz: int) -> JoinSuggestion:
    """The join at the attack nearest to `time_s`; at that very time where nothing is struck there.

    read: (start, frames) -> the sound there; a quarter of a second is read of a song of `frames`.
    """
    expected = min(seconds_to_frames(time_s, rate_hz), frames)
    context = ms_to_frames(CONTEXT_MS, rate_hz)
    first = max(expected - context, 0)
    foot = attack_foot(read(first, min(2 * context, frames - first)), rate_hz, expected - first)
    return suggest_join(foot, (first + foot.frame) / rate_hz)


def _rise(level: Array, rise_frames: int, memory: int) -> Array:
    """Growth over `rise_frames`, against the highest of the `memory` before those."""
    padded = np.concatenate([np.full(memory + rise_frames, level[0]), level])[: len(level) + memory]
    return np.asarray(np.maximum(level - _highest(padded, memory + 1), 0.0))


def _highest(values: Array, width: int) -> Array:
    """The highest of each `width` values in a row, from windows of 1, 2, 4 … of them."""
    done = 1
    while done < width:
        step = min(done, width - done)
        values = np.maximum(values[:-step], values[step:])
        done += step
    return values


def _past_mean(values: Array, width: int) -> Array:
    """Mean of the `width` values up to and including each."""
    sums = np.concatenate([np.zeros(width), np.cumsum(values)])
    return np.asarray(np.maximum(sums[width:] - sums[:-width], 0.0) / width)


def _bands(mono: Array, rate_hz: int) -> tuple[Array, Array, Array]:
    """Three bands that add up to the sound."""
    under_low, under_high = (_low_pass(mono, edge_hz, rate_hz) for edge_hz in EDGES_HZ)
    return under_low, under_high - under_low, mono - under_high


def _low_pass(mono: Array, edge_hz: float, rate_hz: int) -> Array:
    """Two equal one-pole sections, pole exp(-2π f / rate)."""
    pole = np.exp(-2.0 * np.pi * min(edge_hz / rate_hz, 0.4))
    section = np.array([[(1.0 - pole) ** 2, 0.0, 0.0, -2.0 * pole, pole**2]])
    return np.asarray(cascade(mono[None], section, rest_state(1, 1))[0])
