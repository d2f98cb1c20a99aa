"""Test signals, made from their description; seeded where they are random."""

from __future__ import annotations

import numpy as np

from arsis.audio import Block

RATES = (44_100, 48_000, 88_200, 96_000, 192_000)


def noise(frames: int, channels: int = 2, seed: int = 1, rms: float = 0.1) -> Block:
    """White Gaussian noise."""
    return rms * np.random.default_rng(seed).standard_normal((channels, frames))


def sine(
    freq_hz: float,
    rate_hz: int,
    seconds: float,
    peak: float = 0.5,
    phase: float = 0.0,
    channels: int = 2,
) -> Block:
    """The same sine in every channel."""
    t = np.arange(round(seconds * rate_hz)) / rate_hz
    return np.tile(peak * np.sin(2 * np.pi * freq_hz * t + phase), (channels, 1))
