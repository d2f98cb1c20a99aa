"""Laws 2 to 5 for the limiter."""

from __future__ import annotations

import numpy as np
import pytest

from arsis.process.limiting import LimiterRunner
from arsis.settings import Limiter

from .meter16 import true_peak_dbtp
from .signals import noise, sine
from .tolerances import CEILING_DB


def limited(block, rate_hz=44_100, **settings):
    """Output and gain, aligned with the input."""
    runner = LimiterRunner(Limiter(**settings), rate_hz, block.shape[0])
    out, gain = runner.process_with_gain(np.pad(block, ((0, 0), (0, runner.latency))))
    return out[:, runner.latency :], gain[runner.latency :]


def test_the_ceiling_holds_on_loud_noise():
    out, _ = limited(noise(20_000, rms=3.0), ceiling_dbtp=-1.0)
    assert true_peak_dbtp(out) <= -1.0 + CEILING_DB


def test_hands_off_below_the_ceiling():
    block = sine(997.0, 44_100, 0.5, peak=0.8)
    out, gain = limited(block, ceiling_dbtp=-1.0)
    assert np.array_equal(out, block)
    assert np.all(gain == 1.0)


@pytest.mark.parametrize("cut", [0, 1, 127, 128, 5_000])
def test_blocks_do_not_matter(cut):
    block = noise(8_000, rms=0.7)
    whole, apart = (LimiterRunner(Limiter(), 44_100, 2) for _ in range(2))
    parts = [apart.process(block[:, :cut]), apart.process(block[:, cut:])]
    assert np.array_equal(np.concatenate(parts, axis=1), whole.process(block))
