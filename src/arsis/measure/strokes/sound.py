"""The sound that strokes are looked for in, and where something is struck in it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block
from arsis.measure import attack
from arsis.measure.loudness import LoudnessMeter

from .waves import MID, Floats, Indices, Singles

LONGEST_S = 600.0  # so much of a song is kept: at 48 kHz 230 MB
BANDS_HZ = ((30.0, 180.0), (180.0, 2_500.0), (2_500.0, 16_000.0))
APART_S = 0.03  # what begins closer to another onset is that one's
CHUNK = 1 << 18


@dataclass(frozen=True, slots=True)
class Sound:
    """mid_side: (2, frames), as much of a song as is kept."""

    rate_hz: int
    mid_side: Singles


class SoundMeter:
    """Keeps what it hears, in blocks of any length. frames: of the song."""

    def __init__(self, rate_hz: int, frames: int) -> None:
        self._rate_hz = rate_hz
        self._kept = np.zeros((2, min(frames, round(LONGEST_S * rate_hz))), np.float32)
        self._at = 0

    def add(self, block: Block) -> None:
        """Hears the next frames."""
        part = block[:, : self._kept.shape[1] - self._at]
        self._kept[:, self._at : self._at + part.shape[1]] = mid_side(part)
        self._at += part.shape[1]

    def finish(self) -> Sound:
        """What was kept."""
        return Sound(self._rate_hz, self._kept[:, : self._at])


def mid_side(sound: Block) -> Block:
    """(2, frames); a mono sound has no sides."""
    if len(sound) == 1:
        return np.concatenate([sound, np.zeros_like(sound)])
    return np.stack([0.5 * (sound[0] + sound[1]), 0.5 * (sound[0] - sound[1])])


@dataclass(frozen=True, slots=True)
class Onsets:
    """frames: where each begins, rising. sharp: which stand out of all that sounds, not of a band alone."""

    frames: Indices
    sharp: NDArray[np.bool_]

    def taken(self, which: NDArray[np.bool_]) -> Onsets:
        return Onsets(self.frames[which], self.sharp[which])


def struck(sound: Sound, sharp: Indices) -> Onsets:
    """All onsets. sharp: those that are known already.

    The highest band comes first, as its onsets are the most exact.
    """
    frames = sharp
    for low_hz, high_hz in reversed(BANDS_HZ):
        frames = _with(frames, _rises(sound, low_hz, high_hz), round(APART_S * sound.rate_hz))
    return Onsets(frames, np.isin(frames, sharp))


def _with(at: Indices, further: Indices, apart: int) -> Indices:
    fenced = np.concatenate([[-(1 << 40)], at, [1 << 40]])
    after = np.searchsorted(fenced, further)
    near = np.minimum(further - fenced[after - 1], fenced[after] - further)
    return np.sort(np.concatenate([at, further[near >= apart]]))


def _rises(sound: Sound, low_hz: float, high_hz: float) -> Indices:
    """Onsets of the mid's power in a band, as `measure.attack` finds them."""
    mid, rate_hz = sound.mid_side[MID], sound.rate_hz
    meter = LoudnessMeter(rate_hz, 1, attack.HOPS_PER_SECOND, _band(rate_hz, low_hz, high_hz))
    for start in range(0, mid.size, CHUNK):
        meter.add(mid[np.newaxis, start : start + CHUNK].astype(np.float64))
    hops = attack.onsets(meter.energies())
    return np.asarray(np.rint(hops * (rate_hz / attack.HOPS_PER_SECOND)), np.int64)


@cache
def _band(rate_hz: int, low_hz: float, high_hz: float) -> Floats:
    """Coefficients (2, 5), rows b0 b1 b2 a1 a2: what passes between two frequencies, 12 dB an octave beside.

    Butterworth sections, bilinear (Oppenheim and Schafer, Discrete-Time Signal Processing, 7.1).
    """
    rows = []
    for freq_hz, numerator in ((low_hz, (1.0, -2.0, 1.0)), (high_hz, (1.0, 2.0, 1.0))):
        k = math.tan(math.pi * freq_hz / rate_hz)
        a0 = 1.0 + k * math.sqrt(2.0) + k * k
        gain = (1.0 if freq_hz == low_hz else k * k) / a0
        poles = (2.0 * (k * k - 1.0) / a0, (1.0 - k * math.sqrt(2.0) + k * k) / a0)
        rows.append([*(gain * b for b in numerator), *poles])
    return np.array(rows)
