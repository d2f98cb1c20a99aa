"""Which tempi a song may have: autocorrelation of its onset curves, summed over multiples of the beat."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .features import FRAME_S
from .onsets import Onsets
from .running import Array, running_mean

WINDOW = int(9.0 / FRAME_S)
HOP = int(1.5 / FRAME_S)
TEMPI_BPM = np.geomspace(40.0, 260.0, 144)
COMB = ((1, 1.0), (2, 0.8), (3, 0.4), (4, 1.0), (8, 0.5))  # multiples of the beat and their weights, tuned
BACKBEAT = 0.35  # what a snare on every second beat adds

# People tap near 120 beats a minute: Moelants, Preferred tempo reconsidered (2002). Width in octaves tuned.
PREFERRED_BPM, PREFERRED_OCTAVES = 118.0, 0.8

TOGETHER = 64  # windows that are transformed at a time: they stay in the cache

# Curves that are correlated (all bands together first) and their weights.
WEIGHTS = (1.0, 0.6, 0.4, 0.6, 0.4)


@dataclass(frozen=True, slots=True)
class Tempogram:
    """strength (windows, tempi): how well each of TEMPI_BPM fits, every HOP frames, times preference."""

    strength: Array

    def overall(self) -> Array:
        """Mean over the song, largest = 1."""
        mean = self.strength.mean(axis=0)
        return np.asarray(mean / max(mean.max(), 1e-9))

    def candidates(self, most: int = 4, least: float = 0.5) -> list[tuple[float, float]]:
        """(period in frames, strength) of the best peaks, strongest first."""
        curve = self.overall()
        inner = curve[1:-1]
        peaks = np.flatnonzero((inner > curve[:-2]) & (inner >= curve[2:]) & (inner >= least)) + 1
        peaks = peaks[np.argsort(-curve[peaks], kind="stable")][:most]
        return [(60.0 / TEMPI_BPM[peak] / FRAME_S, float(curve[peak])) for peak in peaks]


def tempogram(onsets: Onsets) -> Tempogram:
    """Tempo strengths through the song."""
    correlation = _autocorrelation((onsets.curve, *onsets.flux.T), WEIGHTS)
    snare = _autocorrelation((np.maximum(onsets.flux[:, 2] - 0.7 * onsets.flux[:, 0], 0.0),), (1.0,))
    lags = 60.0 / TEMPI_BPM / FRAME_S
    total, weights = np.zeros((len(snare), len(lags))), np.zeros(len(lags))
    for multiple, weight in COMB:
        inside = lags * multiple < 0.75 * WINDOW
        total += weight * inside * _at(correlation, lags * multiple)
        weights += weight * inside
    backbeat = np.clip(_at(snare, 2.0 * lags) - _at(snare, lags), -1.0, 1.0)
    total = total / weights + BACKBEAT * backbeat
    preference = np.exp(-0.5 * (np.log2(TEMPI_BPM / PREFERRED_BPM) / PREFERRED_OCTAVES) ** 2)
    strength = np.maximum(total, 0.0) * preference
    return Tempogram(strength / (strength.max(axis=1, keepdims=True) + 1e-3 * strength.max() + 1e-12))


def _autocorrelation(curves: Sequence[Array], weights: Sequence[float]) -> Array:
    """Weighted mean over curves, (windows, WINDOW): unbiased, over windows of each less its local mean."""
    taper = np.hanning(WINDOW).astype(np.float32)
    size = 1 << int(2 * WINDOW - 1).bit_length()
    bias = np.fft.irfft(np.abs(np.fft.rfft(taper, size)) ** 2)[:WINDOW]
    cuts = [np.lib.stride_tricks.sliding_window_view(_level(curve), WINDOW)[::HOP] for curve in curves]
    rows = []
    for start in range(0, len(cuts[0]), TOGETHER):
        power = np.zeros((min(TOGETHER, len(cuts[0]) - start), size // 2 + 1))
        for weight, cut in zip(weights, cuts, strict=True):
            part = cut[start : start + TOGETHER] * taper
            at_no_lag = np.maximum((part**2).sum(axis=1, keepdims=True) / bias[0], 1e-9)
            power += weight * np.abs(np.fft.rfft(part, size)) ** 2 / at_no_lag
        rows.append(np.fft.irfft(power)[:, :WINDOW])
    return np.asarray(np.concatenate(rows) / (np.maximum(bias, 0.05 * bias[0]) * sum(weights)))


def _level(curve: Array) -> NDArray[np.float32]:
    """A curve less its local mean, with half a window of nothing at both ends."""
    return np.pad(curve - running_mean(curve, WINDOW), WINDOW // 2).astype(np.float32)


def _at(rows: Array, lags: Array) -> Array:
    """Each row at fractional lags, held at the last."""
    lags = np.minimum(lags, rows.shape[1] - 1.001)
    low = lags.astype(int)
    part = lags - low
    return np.asarray(rows[:, low] * (1.0 - part) + rows[:, low + 1] * part)


def tempo_path(gram: Tempogram, frames: int) -> Array:
    """Period in frames at every frame, within a quarter of the song's tempo: the best smooth path."""
    centre = TEMPI_BPM[int(np.argmax(gram.overall()))]
    near = np.flatnonzero(np.abs(np.log2(TEMPI_BPM / centre)) < np.log2(1.25))
    reward = gram.strength[:, near] / (gram.strength.std() + 1e-9)
    steps = np.subtract.outer(near, near)
    cost = np.where(np.abs(steps) <= 6, 0.2 * steps**2, np.inf)
    best, came = reward[0], np.zeros(reward.shape, int)
    for window in range(1, len(reward)):
        options = best[None, :] - cost
        came[window] = options.argmax(axis=1)
        best = options.max(axis=1) + reward[window]
    path = _trace(came, int(best.argmax()))
    periods = 60.0 / TEMPI_BPM[near[path]] / FRAME_S
    return np.asarray(np.interp(np.arange(frames), np.arange(len(periods)) * HOP, periods))


def _trace(came: NDArray[np.int_], last: int) -> NDArray[np.int_]:
    path = np.full(len(came), last)
    for row in range(len(came) - 1, 0, -1):
        path[row - 1] = came[row, path[row]]
    return path
