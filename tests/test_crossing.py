"""What sounds on across the start of a section, and what only seems to."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from arsis.structure.crossing import AFTER_S, BEFORE_S, crossings

RATE_HZ = 44_100
T = np.arange(round((BEFORE_S + AFTER_S) * RATE_HZ)) / RATE_HZ - BEFORE_S  # 0 at the start of the section
Mono = NDArray[np.float64]


def voice(freq_hz: float, phase: float = 0.0, vibrato: float = 0.0) -> Mono:
    """A tone with five partials."""
    turn = vibrato * np.sin(2.0 * np.pi * 5.5 * T)
    return np.asarray(
        sum(0.2 * np.sin(2.0 * np.pi * freq_hz * k * T + k * turn + k + phase) / k for k in range(1, 6))
    )


def on(from_s: float, to_s: float, rise_s: float = 0.01, fall_s: float = 0.02) -> Mono:
    return np.asarray(np.clip((T - from_s) / rise_s, 0.0, 1.0) * np.clip((to_s - T) / fall_s, 0.0, 1.0))


def kick(at_s: float) -> Mono:
    t = np.maximum(T - at_s, 0.0)
    sweep = 2.0 * np.pi * (50.0 * t + 3.0 * (1.0 - np.exp(-t / 0.025)))
    return np.asarray(0.6 * np.sin(sweep) * np.exp(-t / 0.1))


def hiss(seed: int = 1) -> Mono:
    return np.random.default_rng(seed).standard_normal(T.size)


def room(from_s: float, seconds: float) -> Mono:
    """A burst of noise that dies away by 60 dB in so many seconds."""
    t = np.maximum(T - from_s, 0.0)
    return np.asarray(0.2 * hiss(2) * 10.0 ** (-3.0 * t / seconds) * (from_s < T))


def across(sound: Mono) -> dict[str, float | None]:
    block = np.stack([sound, sound]) + 1e-4 * hiss(3)
    found = crossings(block, RATE_HZ, round(BEFORE_S * RATE_HZ))
    return {one.kind: one.since_s for one in found}


def test_a_held_note_is_seen_under_the_drum_that_starts_the_section() -> None:
    assert across(voice(220.0) + kick(0.0)) == {"held": None}


@pytest.mark.parametrize("vibrato", [0.0, 0.3])
@pytest.mark.parametrize("early_s", [0.2, 0.4, 0.8])
def test_a_pick_up_is_seen_with_how_long_before_the_bar_it_begins(early_s: float, vibrato: float) -> None:
    found = across(voice(330.0, vibrato=vibrato) * on(-early_s, 9.0) + kick(0.0))
    assert found == {"pick_up": pytest.approx(early_s, abs=0.03)}


def test_a_tail_that_nothing_covers_is_seen() -> None:
    assert across(room(-0.4, 1.2)) == {"tail": None}


STILL = {
    "the same note struck anew": voice(220.0) * on(-1.0, -0.02) + voice(220.0, 1.3) * on(0.0, 9.0, 0.003),
    "the same note, bound": voice(220.0) * on(-9.0, 0.0, fall_s=0.005)
    + voice(220.0, 2.0) * on(0.0, 9.0, 0.003),
    "another note, bound": voice(220.0) * on(-9.0, 0.0, fall_s=0.005) + voice(262.0) * on(0.0, 9.0, 0.003),
    "drums": kick(-1.0) + kick(-0.5) + kick(0.0),
    "a tail under a loud start": room(-0.4, 1.2) + 0.3 * hiss() * on(0.0, 9.0, 0.001),
    "noise": 0.1 * hiss(),
    "silence": 0.0 * T,
}


@pytest.mark.parametrize("sound", STILL.values(), ids=STILL)
def test_nothing_is_seen_where_nothing_crosses(sound: Mono) -> None:
    assert across(sound) == {}


@pytest.mark.parametrize("frames", [0, 100, 5_000])
def test_a_short_block_has_nothing_to_tell(frames: int) -> None:
    assert crossings(np.ones((2, frames)), RATE_HZ, frames // 2) == ()
