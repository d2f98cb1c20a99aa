"""The foot of an attack and the join that is made before it."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import settings as examples
from hypothesis import strategies as st

from arsis.audio import Block
from arsis.structure import Foot, attack_foot, suggest_join

from .signals import noise, sine
from .tolerances import FOOT_MS

RATES = (8_000, 44_100, 48_000, 96_000)


def struck(kind: str, at: int, frames: int, rate_hz: int, level: float) -> Block:
    """Quiet noise with one attack that starts at `at`."""
    sound = noise(frames, rms=0.0005)
    t = np.arange(frames - at) / rate_hz
    hiss = noise(frames - at, 1, seed=5, rms=1.0)[0]
    shape = {
        "kick": np.sin(2 * np.pi * (50.0 * t + 3.0 * (1.0 - np.exp(-t / 0.025)))) * np.exp(-t / 0.1),
        "snare": 0.3 * hiss * np.exp(-t / 0.06),
        "hat": 0.3 * np.diff(hiss, prepend=0.0) * np.exp(-t / 0.015),
        "chord": sum(np.sin(2 * np.pi * f * t) for f in (220.0, 277.2, 329.6))
        * (1.0 - np.exp(-t / 0.002))
        / 3,
    }[kind]
    sound[:, at:] += level * shape
    return sound


@examples(max_examples=40)
@given(
    kind=st.sampled_from(["kick", "snare", "hat", "chord"]),
    rate_hz=st.sampled_from(RATES),
    early_ms=st.floats(-25.0, 25.0),
    level=st.floats(0.1, 1.0),
)
def test_foot_is_where_the_attack_starts(kind: str, rate_hz: int, early_ms: float, level: float) -> None:
    at, frames = round(0.15 * rate_hz), round(0.3 * rate_hz)
    expected = at - round(early_ms * rate_hz / 1000)
    foot = attack_foot(struck(kind, at, frames, rate_hz, level), rate_hz, expected)
    assert foot.strength > 0.0
    assert abs(foot.frame - at) * 1000.0 / rate_hz <= FOOT_MS


def test_of_two_attacks_the_nearer_is_taken() -> None:
    first, second = 6_000, 8_000  # 45 ms apart
    sound = struck("snare", first, 14_000, 44_100, 0.5) + struck("snare", second, 14_000, 44_100, 0.7)
    foot = attack_foot(sound, 44_100, second + 100)
    assert abs(foot.frame - second) / 44.1 <= FOOT_MS
    foot = attack_foot(sound, 44_100, first + 100)
    assert abs(foot.frame - first) / 44.1 <= FOOT_MS


@pytest.mark.parametrize("kind", ["tone", "silence", "noise"])
def test_nothing_struck(kind: str) -> None:
    sound = {"tone": sine(220.0, 44_100, 0.3), "silence": np.zeros((2, 13_230)), "noise": noise(13_230)}[kind]
    foot = attack_foot(sound, 44_100, 6_000)
    join = suggest_join(foot, 1.0)
    if kind != "noise":  # noise may rise anywhere, by little
        assert foot == Foot(6_000, 0.0)
        assert 20.0 <= join.fade_ms <= 30.0
    assert 0 <= foot.frame < 13_230


@pytest.mark.parametrize("frames", [0, 1, 50, 500])
@pytest.mark.parametrize("expected", [0, 49])
def test_short_blocks(frames: int, expected: int) -> None:
    foot = attack_foot(noise(frames), 44_100, min(expected, frames))
    assert 0 <= foot.frame <= frames


def test_fade_of_a_struck_start() -> None:
    """Lengths from measured excess at the seam: docs/joins.md."""
    join = suggest_join(Foot(100, 1.0), 12.5)
    assert (join.at_s, join.fade_ms, join.lead_ms) == (12.5, 20.0, 2.0)
