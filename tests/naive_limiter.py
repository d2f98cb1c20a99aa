"""The limiter's first stage written from its description, one frame and one tick at a time."""

from __future__ import annotations

import numpy as np

from arsis.dsp.interpolate import Sinc, phases
from arsis.dsp.kernels.limiter import SCALE, TICK, Form, Rule


def peaks_between(signal: np.ndarray, sinc: Sinc, count: int) -> np.ndarray:
    """For each frame, the greatest size of any channel over the grid from it to the next frame."""
    half = sinc.taps // 2
    padded = np.pad(signal, ((0, 0), (half - 1, half)))
    windows = np.lib.stride_tricks.sliding_window_view(padded, sinc.taps, axis=1)
    return np.abs(windows @ phases(sinc, count).T).max(axis=(0, 2))


def needs(peaks: np.ndarray, rule: Rule) -> np.ndarray:
    """For each tick, by how much the gain must lie below 1."""
    most = peaks.reshape(-1, TICK).max(axis=1)
    return np.where(most > rule.trigger, 1.0 - rule.target / np.maximum(most, rule.trigger), 0.0)


def held(need: np.ndarray, window: int) -> np.ndarray:
    """The greatest of the last `window` ticks."""
    return np.array([need[max(0, k - window + 1) : k + 1].max() for k in range(len(need))])


def released(reduction: np.ndarray, rule: Rule) -> np.ndarray:
    """A fast follower, a slow one that fills from it, and the greater of the two."""
    out, fast, slow = np.empty_like(reduction), 0.0, 0.0
    for k, target in enumerate(reduction):
        fast = max(target, fast * rule.fast - rule.fast_step)
        if fast > slow:
            slow += (fast - slow) * rule.charge
        else:
            slow = max(0.0, slow * rule.slow - rule.slow_step)
        out[k] = max(fast, slow)
    return out


def smoothed(reduction: np.ndarray, form: Form) -> np.ndarray:
    """The gain of every frame: two running means over a staircase of ticks."""
    stairs = np.repeat(np.ceil(reduction * SCALE), TICK)
    for box in (form.box_1 * TICK, form.box_2 * TICK):
        stairs = np.convolve(stairs, np.ones(box))[: len(stairs)]
    return 1.0 - stairs / (SCALE * TICK**2 * form.box_1 * form.box_2)


def first_stage(signal: np.ndarray, form: Form, rule: Rule, sinc: Sinc, count: int) -> np.ndarray:
    """The gain of every frame, aligned with `signal`; its length is a multiple of TICK."""
    look = TICK * (form.box_1 + form.box_2 + 1)
    padded = np.pad(signal, ((0, 0), (0, look)))
    need = needs(peaks_between(padded, sinc, count), rule)
    return smoothed(released(held(need, form.window), rule), form)[look:]
