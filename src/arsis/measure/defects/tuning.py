"""How a song is tuned: by how much its partials lie off the semitones over A = 440 Hz.

A file that was recorded at 48 kHz and is played at 44.1 lies 147 cents low, 47 off the next semitone.
The mean is one of angles, 100 cents to the circle, weighted by amplitude (K. V. Mardia, P. E. Jupp,
Directional Statistics, 2000, section 2.2; from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from arsis.audio import Block
from arsis.dsp.stft import FrameStream
from arsis.dsp.windows import hann

FRAME_S = 0.35
LOWEST_HZ, HIGHEST_HZ = 300.0, 3_000.0
REFERENCE_HZ = 440.0
# A partial stands this far out of the mean of its frame.
STANDS_OUT = 30.0


@dataclass(frozen=True, slots=True)
class Tuning:
    """off_cents: from -50 to 50. agreement: 1 where all partials lie so, 0 where they lie anywhere. partials:
    how many were heard, those of every third of a second counted."""

    off_cents: float
    agreement: float
    partials: int


class TuningMeter:
    """Listens to partials of the mean of the channels."""

    def __init__(self, rate_hz: int) -> None:
        self._length = 1 << (int(rate_hz * FRAME_S) - 1).bit_length()
        self._bin_hz = rate_hz / self._length
        self._frames = FrameStream(1, self._length, self._length)
        self._window = hann(self._length)
        self._low, self._high = (round(f / self._bin_hz) for f in (LOWEST_HZ, HIGHEST_HZ))
        self._sum, self._weight, self._count = 0.0 + 0.0j, 0.0, 0

    def add(self, block: Block) -> None:
        """Hears the next frames."""
        for frame in self._frames.add(block.mean(axis=0)[np.newaxis]):
            bins = np.fft.rfft(frame.samples[0] * self._window)[self._low : self._high]
            power = np.maximum(bins.real**2 + bins.imag**2, 1e-30)
            inner = power[1:-1]
            tops = (inner > power[:-2]) & (inner >= power[2:]) & (inner > STANDS_OUT * power.mean())
            at = np.flatnonzero(tops) + 1
            a, b, c = (np.log(power[at + i]) for i in (-1, 0, 1))
            freq_hz = (self._low + at + 0.5 * (a - c) / (a - 2.0 * b + c)) * self._bin_hz
            weight = np.sqrt(power[at])
            self._sum += complex(np.sum(weight * np.exp(2j * np.pi * 12.0 * np.log2(freq_hz / REFERENCE_HZ))))
            self._weight += float(weight.sum())
            self._count += at.size

    def facts(self) -> Tuning | None:
        """Of all that has been heard; None where nothing has a pitch."""
        if self._weight == 0.0:
            return None
        off = float(np.angle(self._sum)) / (2.0 * np.pi) * 100.0
        return Tuning(off, abs(self._sum) / self._weight, self._count)
