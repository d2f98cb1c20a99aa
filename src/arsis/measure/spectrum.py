"""Third-octave levels and the five bands of the contour."""

from __future__ import annotations

from collections.abc import Sequence
from copy import deepcopy
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block, Span
from arsis.dsp.stft import Frame, FrameStream, HannPower
from arsis.units import power_to_db

# IEC 61260-1:2014, 5.2 to 5.5: exact mid-band frequencies and edges on the ratio G = 10^(3/10).
OCTAVE_RATIO = 10.0**0.3
THIRD_OCTAVES = tuple(1000.0 * OCTAVE_RATIO ** (number / 3) for number in range(-17, 14))  # 20 Hz to 20 kHz
BROADBAND_HZ = (20.0, 20_000.0)
BANDS_HZ = {
    "low": (20.0, 120.0),
    "low_mid": (120.0, 500.0),
    "mid": (500.0, 2000.0),
    "presence": (2000.0, 6000.0),
    "air": (6000.0, 16_000.0),
}
FRAME_S = 1 / 3  # at least so long: bins of 3 Hz or less, so that 31.5 Hz is a band of its own


@dataclass(frozen=True, slots=True)
class BandLevels:
    """Levels of the five bands, in dB re the broadband level (20 Hz to 20 kHz); -inf where empty."""

    low: float
    low_mid: float
    mid: float
    presence: float
    air: float


@dataclass(frozen=True)
class Spectrum:
    """Mean power per bin of a stretch: mean square, averaged over the channels. bin k is at k bin_hz."""

    power: NDArray[np.float64]
    bin_hz: float

    def band_power(self, low_hz: float, high_hz: float) -> float:
        """Power between two frequencies; a bin counts for the part of its width that lies inside."""
        edges = (np.arange(self.power.size + 1) - 0.5) * self.bin_hz
        running = np.concatenate([[0.0], np.cumsum(self.power)])
        low, high = np.interp((low_hz, high_hz), edges, running)
        return float(high - low)

    def third_octaves_db(self) -> tuple[float, ...]:
        """Levels in dB re full scale 1.0 (mean square) of the 31 bands from 20 Hz to 20 kHz."""
        side = OCTAVE_RATIO ** (1 / 6)
        return tuple(power_to_db(self.band_power(mid / side, mid * side)) for mid in THIRD_OCTAVES)

    def bands(self) -> BandLevels:
        """The five bands re the broadband level."""
        whole = power_to_db(self.band_power(*BROADBAND_HZ))
        levels = (power_to_db(self.band_power(*edges)) for edges in BANDS_HZ.values())
        return BandLevels(*(level - whole if level > -np.inf else -np.inf for level in levels))


def frame_length(rate_hz: int) -> int:
    """The next power of two to a third of a second: 16384 at 44.1 and 48 kHz."""
    return 1 << (int(rate_hz * FRAME_S) - 1).bit_length()


class SpectrumMeter:
    """Mean power spectra of spans of a stream: Hann window, half overlapping (Welch, "The use of fast
    Fourier transform for the estimation of power spectra", IEEE Trans. AU-15, 1967).

    A frame belongs to the span in which its centre lies. The resolution is two bins, about 5 Hz, so the
    bands below 31.5 Hz are smeared into their neighbours.
    """

    def __init__(self, rate_hz: int, channels: int, spans: Sequence[Span]) -> None:
        length = frame_length(rate_hz)
        self._bin_hz = rate_hz / length
        self._channels = channels
        self._spans = tuple(spans)
        self._frames = FrameStream(channels, length, length // 2)
        self._spectra = HannPower(length)
        self._power = np.zeros((len(self._spans), length // 2 + 1))
        self._weight = np.zeros(len(self._spans))
        self._heard = 0

    def add(self, block: Block) -> None:
        """Hears the next frames."""
        self._heard += block.shape[1]
        for frame in self._frames.add(block):
            self._take(frame)

    def _take(self, frame: Frame, end: int | None = None) -> None:
        within = [i for i, span in enumerate(self._spans) if span.start <= frame.centre < span.end]
        if not within:
            return
        found = self._spectra.of(frame, end)
        for i in within:
            self._power[i] += found.power
            self._weight[i] += found.weight

    def spectra(self) -> tuple[Spectrum, ...]:
        """The mean spectrum of each span; all zero where no frame has its centre in it."""
        whole = deepcopy(self)
        for frame in whole._frames.finish():
            whole._take(frame, whole._heard)
        weight = np.maximum(whole._weight, 1e-300)[:, np.newaxis] * self._channels
        return tuple(Spectrum(row, self._bin_hz) for row in whole._power / weight)
