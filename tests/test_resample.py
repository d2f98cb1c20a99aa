"""Rate conversion: exact length, in place, any blocks, and as clean as published."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from arsis.dsp.resample import Resampler, resampled_frames
from tests.signals import RATES, noise, sine
from tests.tolerances import RESAMPLED_ALIAS_DB, RESAMPLED_PASSBAND_DB, RESAMPLED_SNR_DB


def convert(block: np.ndarray, from_hz: int, to_hz: int) -> np.ndarray:
    return Resampler(from_hz, to_hz, block.shape[0]).process(block, last=True)


@settings(derandomize=True, deadline=None, max_examples=40)
@given(
    st.sampled_from(RATES), st.sampled_from(RATES), st.sampled_from((1, 2)),
    st.lists(st.integers(0, 5_000), max_size=8),
)  # fmt: skip
def test_blocks_do_not_matter_and_the_length_is_exact(
    from_hz: int, to_hz: int, channels: int, sizes: list[int]
) -> None:
    block = noise(sum(sizes), channels, seed=3)
    resampler, parts, start = Resampler(from_hz, to_hz, channels), [], 0
    for size in sizes:
        parts.append(resampler.process(block[:, start : start + size]))
        start += size
    parts.append(resampler.process(np.zeros((channels, 0)), last=True))
    found = np.concatenate(parts, axis=1)
    assert np.array_equal(found, convert(block, from_hz, to_hz))
    exact = sum(sizes) * to_hz / from_hz
    assert abs(found.shape[1] - exact) <= 0.5
    assert found.shape[1] == resampled_frames(sum(sizes), from_hz, to_hz)


def test_the_same_rate_changes_nothing() -> None:
    block = noise(1_000)
    assert np.array_equal(convert(block, 48_000, 48_000), block)


@pytest.mark.parametrize(("from_hz", "to_hz"), [(96_000, 44_100), (44_100, 48_000), (44_100, 88_200)])
def test_a_tone_stays_in_place(from_hz: int, to_hz: int) -> None:
    """The result is the same tone at the new rate's instants; figures for 997 Hz from the check values, 9."""
    found = convert(sine(997.0, from_hz, 1.0), from_hz, to_hz)
    error = (found - sine(997.0, to_hz, 1.0))[:, to_hz // 4 : -to_hz // 4]
    signal = sine(997.0, to_hz, 1.0)[:, to_hz // 4 : -to_hz // 4]
    assert 10 * np.log10(np.mean(signal**2) / np.mean(error**2)) > RESAMPLED_SNR_DB


def test_passband_and_alias_are_the_published_ones() -> None:
    """96 to 44.1 kHz: level to 20 kHz by an impulse; a tone at 1.005 times the new Nyquist frequency."""
    impulse = np.zeros((1, 96_000))
    impulse[0, 48_000] = 1.0
    response = 20 * np.log10(np.abs(np.fft.rfft(convert(impulse, 96_000, 44_100)[0])) * 96_000 / 44_100)
    assert np.abs(response[20:20_001]).max() < RESAMPLED_PASSBAND_DB  # one bin a hertz
    alias = convert(sine(22_050 * 1.005, 96_000, 1.0, peak=1.0, channels=1), 96_000, 44_100)[
        0, 11_025:-11_025
    ]
    window = np.kaiser(alias.size, 38)
    level = 20 * np.log10(np.abs(np.fft.rfft(alias * window)).max() * 2 / window.sum())
    assert level < RESAMPLED_ALIAS_DB
