"""Third-octave levels and the five bands of the contour."""

from __future__ import annotations

from collections.abc import Sequence
from copy import deepcopy
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from arsis.audio import Block, Span
from arsis.dsp.stft import Frame, FrameStream, HannPower
from arsis.units import power_to_db

from .voice import VoiceMeter

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

    def band_powers(self, edges_hz: ArrayLike) -> NDArray[np.float64]:
        """Power between pairs of frequencies, (bands, 2); a bin counts for the part of it inside."""
        edges = (np.arange(self.power.size + 1) - 0.5) * self.bin_hz
        running = np.concatenate([[0.0], np.cumsum(self.power)])
        return np.asarray(np.diff(np.interp(np.asarray(edges_hz), edges, running), axis=-1)[:, 0])

    def third_octaves_db(self) -> tuple[float, ...]:
        """Levels in dB re full scale 1.0 (mean square) of the 31 bands from 20 Hz to 20 kHz."""
        side = OCTAVE_RATIO ** (1 / 6)
        powers = self.band_powers([(mid / side, mid * side) for mid in THIRD_OCTAVES])
        return tuple(power_to_db(float(power)) for power in powers)

    def bands(self) -> BandLevels:
        """The five bands re the broadband level."""
        whole, *parts = self.band_powers([BROADBAND_HZ, *BANDS_HZ.values()])
        if whole <= 0.0:
            return BandLevels(*(-np.inf for _ in parts))
        return BandLevels(*(power_to_db(float(part / whole)) for part in parts))


def frame_length(rate_hz: int) -> int:
    """The next power of two to a third of a second: 16384 at 44.1 and 48 kHz."""
    return 1 << (int(rate_hz * FRAME_S) - 1).bit_length()


class SpectrumMeter:
    """Mean power spectra of spans of a stream: Hann window, half overlapping (Welch, "The use of fast
    Fourier transform for the estimation of power spectra", IEEE Trans. AU-15, 1967).

    A frame belongs to the span in which its centre lies. Frames that reach over the ends of the sound, where
    it is cut off or begins hard, count only in spans that have no other. The resolution is two bins, about
    5 Hz, so the bands below 31.5 Hz are smeared into their neighbours.
    voice: listens for one in the same frames.
    """

    def __init__(self, rate_hz: int, channels: int, spans: Sequence[Span], *, voice: bool = False) -> None:
        length = frame_length(rate_hz)
        self._bin_hz = rate_hz / length
        self._channels = channels
        self._spans = tuple(spans)
        self._frames = FrameStream(channels, length, length // 2)
        self._spectra = HannPower(length)
        self._power = np.zeros((2, len(self._spans), length // 2 + 1))  # of whole frames, of the others
        self._weight = np.zeros((2, len(self._spans)))
        self._voice = VoiceMeter(rate_hz, length, len(self._spans)) if voice else None

    def add(self, block: Block) -> None:
        """Hears the next frames."""
        for frame in self._frames.add(block):
            self._take(frame)

    def _take(self, frame: Frame) -> None:
        within = [i for i, span in enumerate(self._spans) if span.start <= frame.centre < span.end]
        if not within:
            return
        found = self._spectra.of(frame)
        kind = 0 if frame.whole else 1
        for i in within:
            self._power[kind, i] += found.power
            self._weight[kind, i] += found.weight
        if self._voice is not None:
            self._voice.add(frame, found, within)

    def spectra(self) -> tuple[Spectrum, ...]:
        """The mean spectrum of each span; all zero where no frame has its centre in it."""
        ended = deepcopy(self)
        for frame in ended._frames.finish():
            ended._take(frame)
        kinds = np.where(ended._weight[0] > 0.0, 0, 1)
        spectra = []
        for i, kind in enumerate(kinds):
            weight = ended._weight[kind, i] * self._channels
            power = ended._power[kind, i]
            spectra.append(Spectrum(power / weight if weight > 0.0 else power, self._bin_hz))
        return tuple(spectra)

    def voices_db(self) -> tuple[float | None, ...]:
        """How far a voice stands beside the rest in each span (`voice`); None where there is none to tell."""
        return (None,) * len(self._spans) if self._voice is None else self._voice.voices_db()
