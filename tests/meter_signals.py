"""Signals of EBU Tech 3341 and Tech 3342 and of ITU-R BS.1770, made from their tables."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from scipy.signal import firwin

from arsis.audio import Block

Segments = Iterable[tuple[float, float | None]]


def tone(rate_hz: int, segments: Segments, freq_hz: int = 1000) -> Block:
    """A stereo tone in phase, its peak level in dBFS changing; segments: (seconds, level or None)."""
    frames = [(round(seconds * rate_hz), level) for seconds, level in segments]
    total = sum(count for count, _ in frames)
    second = np.sin(2 * np.pi * freq_hz * np.arange(rate_hz) / rate_hz)  # repeats: whole cycles
    x = np.empty((2, total))
    x[0] = np.resize(second, total)
    at = 0
    for count, level in frames:
        x[0, at : at + count] *= 0.0 if level is None else 10.0 ** (level / 20.0)
        at += count
    x[1] = x[0]
    return x


def _faded(x: np.ndarray, rate_hz: int) -> np.ndarray:
    fade = np.linspace(0.0, 1.0, round(0.01 * rate_hz))
    x[: fade.size] *= fade
    x[-fade.size :] *= fade[::-1]
    return x


def burst(rate_hz: int, part: int, amplitude: float, degrees: float) -> Block:
    """Tech 3341, cases 15 to 19: a tone at 1/part of the rate with 10 ms fades."""
    n = np.arange(rate_hz // 4)
    return np.tile(_faded(amplitude * np.sin(2 * np.pi * n / part + np.radians(degrees)), rate_hz), (2, 1))


def peak_within(rate_hz: int, offset: int) -> Block:
    """Tech 3341, cases 20 to 23: a tone at 1/6 of the rate, 0.50, with one phase-continuous period at 1/4
    of it, 1.00, made at four times the rate, low-passed, and decimated from `offset`."""
    count = 24 * 2000  # fine samples before the period: whole cycles
    low = 0.5 * np.sin(2 * np.pi * np.arange(count) / 24)
    fine = np.concatenate([low, np.sin(2 * np.pi * np.arange(16) / 16), low])
    fine = _faded(fine, 4 * rate_hz)
    passed = np.convolve(fine, firwin(1025, 0.98 / 4, window=("kaiser", 10.0)), mode="same")
    return np.tile(passed[offset::4], (2, 1))
