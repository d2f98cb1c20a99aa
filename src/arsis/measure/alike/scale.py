"""The bands in which a moment is heard: its tone, its sides, and its first instant."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

# Semitones where notes have their body, so that a note is told from its neighbour; sixths of an octave
# below and above.
TONE_HZ = np.concatenate(
    [
        100.0 * 2.0 ** (-np.arange(8, 0, -1) / 6.0),
        100.0 * 2.0 ** (np.arange(41) / 12.0),
        100.0 * 2.0 ** (40.0 / 12.0 + np.arange(1, 25) / 6.0),
    ]
)
SIDE_HZ = 200.0 * 2.0 ** (np.arange(38) / 6.0)  # width below is nobody's to hear
FIRST_HZ = 125.0 * 2.0 ** np.arange(7.0)

TONE = slice(0, TONE_HZ.size)
SIDE = slice(TONE.stop, TONE.stop + SIDE_HZ.size)
FIRST = slice(SIDE.stop, SIDE.stop + FIRST_HZ.size)
SIZE = FIRST.stop

OCTAVES = np.gradient(np.log2(TONE_HZ))  # how wide each band of the tone is


def edges_hz(centres_hz: Floats) -> Floats:
    """Half-way between neighbours, on a scale of octaves; (bands + 1,)."""
    ratios = centres_hz[1:] / centres_hz[:-1]
    outer = np.concatenate([[centres_hz[0] / ratios[0]], centres_hz, [centres_hz[-1] * ratios[-1]]])
    return np.asarray(np.sqrt(outer[:-1] * outer[1:]))


class Bank:
    """Powers of a spectrum in bands; a bin counts for the part of it inside."""

    def __init__(self, centres_hz: Floats, bin_hz: float, bins: int) -> None:
        place = np.clip(edges_hz(centres_hz) / bin_hz + 0.5, 0.0, bins - 1e-6)
        self._below = place.astype(np.int64)
        self._part = place - self._below

    def of(self, power: Floats) -> Floats:
        """(…, bins) -> (…, bands)."""
        running = np.cumsum(power, axis=-1)
        inside = np.take(power, self._below, axis=-1)
        upto = np.take(running, self._below, axis=-1) - inside + self._part * inside
        return np.asarray(np.diff(upto, axis=-1))
