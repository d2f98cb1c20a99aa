"""What lies at the bottom: hum of the mains, and rubbish below hearing."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block
from arsis.dsp.stft import FrameStream
from arsis.dsp.windows import hann
from arsis.units import power_to_db

LOW_RATE_HZ = 3_000.0
LENGTH = 8_192
HIGHEST_HZ = 480.0
# A line of the mains is there all the time: it stands out of its neighbours in the quiet stretches, too.
QUIET_SHARE = 0.15
# One stretch that lies so far under the mean is a rest: what sounds in it sounds by itself.
REST_SHARE = 0.01
LINE_HZ, BESIDE_HZ = 0.6, (1.5, 6.0)
HARMONICS, LEAST_HARMONICS = 8, 3
STANDS_OUT_DB = 9.0
LEAST_LINE_DBFS = -100.0
MAINS_HZ = (50.0, 60.0)
# Music has lines, too: no other family of lines may be as clear as that of the mains.
OTHERS_HZ = tuple(float(x) for x in np.arange(41.0, 70.0, 0.5))
SUBSONIC_HZ = (2.0, 18.0)


@dataclass(frozen=True, slots=True)
class Hum:
    """A family of lines: its first frequency, how many harmonics stand out, and the strongest's RMS."""

    freq_hz: float
    harmonics: int
    level_dbfs: float


@dataclass(frozen=True, slots=True)
class LowFacts:
    """hum: None where there is none. subsonic_dbfs: RMS from 2 to 18 Hz; subsonic_db: of that over the whole
    up to 480 Hz."""

    hum: Hum | None
    subsonic_dbfs: float
    subsonic_db: float


class LowMeter:
    """Listens to the bottom of the mean of the channels at a low rate, in stretches of 2.7 s."""

    def __init__(self, rate_hz: int) -> None:
        self._step = max(1, round(rate_hz / LOW_RATE_HZ))
        self._rate_hz = rate_hz / self._step
        self._frames = FrameStream(1, LENGTH, LENGTH // 2)
        self._window = hann(LENGTH)
        self._held = np.zeros(0)
        self._spectra: list[NDArray[np.float32]] = []
        self._bins = int(HIGHEST_HZ * LENGTH / self._rate_hz)

    def add(self, block: Block) -> None:
        """Hears the next frames."""
        mono = np.concatenate([self._held, block.mean(axis=0)])
        whole = mono.size // self._step * self._step
        self._held = mono[whole:]
        slow = mono[:whole].reshape(-1, self._step).mean(axis=1)
        for frame in self._frames.add(slow[np.newaxis]):
            bins = np.fft.rfft(frame.samples[0] * self._window)[: self._bins]
            self._spectra.append((bins.real**2 + bins.imag**2).astype(np.float32))

    def facts(self) -> LowFacts:
        """Of all that has been heard."""
        spectra = np.array([one for one in self._spectra if one.any()], dtype=np.float64)
        if not spectra.size:
            return LowFacts(None, -np.inf, -np.inf)
        spectra *= 2.0 / (LENGTH * float(np.sum(self._window**2)))
        mean = spectra.mean(axis=0)
        low = power_to_db(float(np.sum(mean[self._bin(SUBSONIC_HZ[0]) : self._bin(SUBSONIC_HZ[1])])))
        return LowFacts(self._hum(spectra), low, low - power_to_db(float(np.sum(mean))))

    def _bin(self, freq_hz: float) -> int:
        return round(freq_hz * LENGTH / self._rate_hz)

    def _hum(self, spectra: NDArray[np.float64]) -> Hum | None:
        found = self._mains(np.quantile(spectra, QUIET_SHARE, axis=0))
        powers = spectra.sum(axis=1)
        if found is None and powers.min() < REST_SHARE * powers.mean():
            return self._mains(spectra[np.argmin(powers)])
        return found

    def _mains(self, quiet: NDArray[np.float64]) -> Hum | None:
        found = {f: self._lines(quiet, f) for f in MAINS_HZ}
        best = max(found, key=lambda f: found[f].sum())
        lines = found[best]
        clear = int(np.count_nonzero(lines >= STANDS_OUT_DB))
        others = (self._lines(quiet, f).sum() for f in OTHERS_HZ if abs(f - best) > 1.0)
        if clear < LEAST_HARMONICS or max(others, default=0.0) > 0.7 * lines.sum():
            return None
        level = max(self._level_dbfs(quiet, k * best) for k in range(1, HARMONICS + 1))
        return Hum(best, clear, level) if level >= LEAST_LINE_DBFS else None

    def _lines(self, quiet: NDArray[np.float64], first_hz: float) -> NDArray[np.float64]:
        """By how many dB each harmonic stands out of what lies beside it; 0 where it does not."""
        out = []
        for k in range(1, HARMONICS + 1):
            f = k * first_hz
            line = float(quiet[self._bin(f - LINE_HZ) : self._bin(f + LINE_HZ) + 1].max(initial=0.0))
            near, far = BESIDE_HZ
            beside = np.concatenate(
                [
                    quiet[self._bin(f - far) : self._bin(f - near) + 1],
                    quiet[self._bin(f + near) : self._bin(f + far) + 1],
                ]
            )
            floor = float(beside.max(initial=0.0)) if beside.size else np.inf
            out.append(max(0.0, power_to_db(line / floor)) if line > 0.0 and floor > 0.0 else 0.0)
        return np.array(out)

    def _level_dbfs(self, quiet: NDArray[np.float64], freq_hz: float) -> float:
        """RMS of a line: the power of its three bins, of which Hann's window has two thirds in the middle."""
        at = self._bin(freq_hz)
        return power_to_db(float(np.sum(quiet[max(0, at - 2) : at + 3])))
