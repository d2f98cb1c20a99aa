"""The saturator's gain for one signal given to another (law 10): linear, and itself for itself."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from arsis.audio import Block
from arsis.process.saturation import SaturatorRunner, half_band, stage_reaches
from arsis.settings import Saturator

from . import naive_saturate
from .signals import RATES, noise
from .tolerances import SINGLE

pytestmark = pytest.mark.kernels

FRAMES = 3_000
LOPSIDED = Saturator(drive_db=12.0, even=1.0)


def followed(asked: Saturator, lead: Block, *own: Block, rate_hz: int = 44_100) -> list[Block]:
    """What the leader gives, then each that follows."""
    channels = lead.shape[0]
    out, gain = SaturatorRunner(asked, rate_hz, channels).process_with_gain(lead)
    return [out, *(SaturatorRunner(asked, rate_hz, channels).apply_gain(one, gain) for one in own)]


@settings(derandomize=True, deadline=None, max_examples=20)
@given(drive=st.floats(0.5, 24), even=st.floats(0, 1), rate=st.sampled_from(RATES), peak=st.floats(0.1, 2))
def test_a_follower_is_its_formula(drive: float, even: float, rate: int, peak: float) -> None:
    """Without the offset blocker: the kernel against float64 convolutions."""
    lead, own = (np.clip(noise(FRAMES, 1, seed, peak / 3), -peak, peak) for seed in (1, 2))
    leader, runner = (SaturatorRunner(Saturator(drive_db=drive, even=even), rate, 1) for _ in range(2))
    runner._blocker = None
    margin = runner.latency
    wide_lead, wide = (np.pad(x, ((0, 0), (0, margin))) for x in (lead, own))
    out = runner.apply_gain(wide, leader.process_with_gain(wide_lead)[1])[0, margin:]
    sides = [half_band(taps)[:taps] for taps in stage_reaches(rate)]
    added = naive_saturate.added_like(np.pad(own[0], 200), np.pad(lead[0], 200), drive, even, sides)
    assert np.max(np.abs(out - own[0] - added[200:-200])) < 4 * SINGLE * max(1.0, peak)


@settings(derandomize=True, deadline=None, max_examples=20)
@given(drive=st.floats(0.5, 24), even=st.floats(0, 1), share=st.floats(-2, 3))
def test_followers_sum_to_the_leader(drive: float, even: float, share: float) -> None:
    lead, part = noise(FRAMES, rms=0.3), share * noise(FRAMES, seed=2, rms=0.3)
    whole, one, other = followed(Saturator(drive_db=drive, even=even), lead, part, lead - part)
    assert np.max(np.abs(whole - one - other)) < 8 * SINGLE


@pytest.mark.parametrize("asked", [Saturator(drive_db=9.0), LOPSIDED], ids=["odd", "even"])
def test_who_follows_itself_is_itself(asked: Saturator) -> None:
    lead = noise(FRAMES, rms=0.3)
    whole, same = followed(asked, lead, lead)
    assert np.max(np.abs(whole - same)) < 4 * SINGLE
    late = SaturatorRunner(asked, 44_100, 2).latency
    assert np.max(np.abs(whole[:, late:] - lead[:, :-late])) > 0.01  # there was something to follow


@settings(derandomize=True, deadline=None, max_examples=15)
@given(cuts=st.lists(st.integers(0, FRAMES), max_size=8))
def test_blocks_do_not_matter(cuts: list[int]) -> None:
    lead, own = noise(FRAMES, rms=0.3), noise(FRAMES, seed=2, rms=0.3)
    whole = followed(LOPSIDED, lead, own)[1]
    leader, runner = (SaturatorRunner(LOPSIDED, 44_100, 2) for _ in range(2))
    parts = [
        runner.apply_gain(own[:, a:b], leader.process_with_gain(lead[:, a:b])[1])
        for a, b in pairwise([0, *sorted(cuts), FRAMES])
    ]
    assert np.array_equal(np.concatenate(parts, axis=1), whole)
