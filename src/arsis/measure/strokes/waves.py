"""The sound of strokes, and its spectra in windows of several lengths."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from arsis.dsp.transform import quick_size, spectra

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Spectra = NDArray[np.complex64]
Indices = NDArray[np.int64]

MID, SIDE = 0, 1
BEFORE_S = 0.004  # a stroke is heard from so much before its onset
LATE_S = 0.008  # by so much may the onsets of two equal strokes be told apart wrongly


@dataclass(frozen=True, slots=True)
class Waves:
    """sound: (strokes, 2, frames), mid and side, each from BEFORE_S before its onset."""

    rate_hz: int
    sound: Singles

    def __len__(self) -> int:
        return len(self.sound)

    def taken(self, which: Indices) -> Waves:
        return Waves(self.rate_hz, self.sound[which])


@dataclass(frozen=True, slots=True)
class Window:
    """It opens before the onset, within BEFORE_S, and closes over its second half."""

    length_s: float

    def spectra(self, waves: Waves, channel: int) -> Part:
        """Of every stroke, with room for a shift of LATE_S."""
        rate_hz = waves.rate_hz
        part = waves.sound[:, channel, : round(self.length_s * rate_hz)]
        size = quick_size(part.shape[1] + round(LATE_S * rate_hz))
        return Part(rate_hz, size, spectra(part, shape(part.shape[1], round(BEFORE_S * rate_hz)), size))


@dataclass(frozen=True, slots=True)
class Part:
    """bins: (strokes, size / 2)."""

    rate_hz: int
    size: int
    bins: Spectra

    def edges(self, edges_hz: Floats) -> Indices:
        """The bin that each edge lies at, each band at least one bin wide."""
        at = np.round(edges_hz * self.size / self.rate_hz).astype(np.int64)
        return np.asarray(np.minimum(np.maximum(at, at[0] + np.arange(at.size)), self.bins.shape[1]))


def third_octaves(low_hz: float, high_hz: float) -> Floats:
    """Edges from low_hz to about high_hz."""
    count = round(3.0 * float(np.log2(high_hz / low_hz)))
    return np.asarray(low_hz * 2.0 ** (np.arange(count + 1) / 3.0))


def cut(sound: Singles, starts: Indices, frames: int) -> Singles:
    """(strokes, 2, frames) of (2, frames)."""
    parts = [sound[:, start : start + frames] for start in starts]
    return np.array(parts, np.float32).reshape(-1, 2, frames)


def power(bins: Spectra) -> Singles:
    """Of each bin."""
    return np.asarray(bins.real**2 + bins.imag**2)


def shape(frames: int, opens: int) -> Singles:
    """A window that opens over so many frames and closes over its second half."""
    window = np.ones(frames)
    window[:opens] = np.sin(np.linspace(0.0, np.pi / 2.0, opens)) ** 2
    closes = frames - frames // 2
    window[frames // 2 :] = np.cos(np.linspace(0.0, np.pi / 2.0, closes)) ** 2
    return window.astype(np.float32)
