"""The colour of a sound: curves over frequency, noise, and single periods read at any pitch."""

from __future__ import annotations

import zlib
from dataclasses import dataclass
from functools import lru_cache
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Wave: TypeAlias = NDArray[np.float64]  # (frames,)
Curve: TypeAlias = tuple[tuple[float, float], ...]  # (Hz, dB), straight between over log frequency

PERIOD = 4096  # points of one period; read with straight lines between them the error stays below -80 dB
_LOOP = 1 << 17  # frames of a loop of noise: nearly three seconds


@dataclass(frozen=True, slots=True)
class Hump:
    """A rise or dip around a frequency; `octaves` is its width at about two thirds of its height."""

    freq_hz: float
    gain_db: float
    octaves: float


Tone: TypeAlias = tuple[Hump, ...]


def tone_gain(tone: Tone, freq_hz: Wave) -> Wave:
    """Amplitude ratio of a tone at each frequency."""
    octave = np.log2(np.maximum(freq_hz, 1.0))
    total_db = np.zeros_like(octave)
    for hump in tone:
        total_db += hump.gain_db * np.exp(-2.0 * ((octave - np.log2(hump.freq_hz)) / hump.octaves) ** 2)
    return np.asarray(10.0 ** (total_db / 20.0))


def curve_gain(curve: Curve, freq_hz: Wave) -> Wave:
    """Amplitude ratio of a curve at each frequency."""
    corners = np.array(curve)
    level_db = np.interp(np.log(np.maximum(freq_hz, 1.0)), np.log(corners[:, 0]), corners[:, 1])
    return np.asarray(10.0 ** (level_db / 20.0))


def decay(frames: int, rate_hz: int, time_s: float) -> Wave:
    """Falls to 1/e in `time_s`."""
    return np.exp(-np.arange(frames) / (rate_hz * time_s))


def coloured(wave: Wave, rate_hz: int, curve: Curve, tone: Tone = ()) -> Wave:
    """A sound through a curve and a tone, causal and as long as it was."""
    response = _response(rate_hz, curve, tone)
    size = _quick_size(wave.size + response.size)
    return np.fft.irfft(np.fft.rfft(wave, size) * np.fft.rfft(response, size), size)[: wave.size]


@lru_cache(maxsize=64)
def _response(rate_hz: int, curve: Curve, tone: Tone) -> Wave:
    size = 8_192
    freq_hz = np.fft.rfftfreq(size, 1.0 / rate_hz).astype(np.float64)
    spectrum = smallest_phase(curve_gain(curve, freq_hz) * tone_gain(tone, freq_hz))
    return np.fft.irfft(spectrum)[: size // 4]


def smallest_phase(magnitude: Wave) -> NDArray[np.complex128]:
    """The half spectrum of the causal response with this magnitude and the least phase.

    From the folded cepstrum: Oppenheim and Schafer, Discrete-Time Signal Processing, 1989, section 12.7.
    """
    cepstrum = np.fft.irfft(np.log(np.maximum(magnitude, 1e-6)))
    half = cepstrum.size // 2
    cepstrum[1:half] *= 2.0
    cepstrum[half + 1 :] = 0.0
    return np.asarray(np.exp(np.fft.rfft(cepstrum)))


def noise(frames: int, rate_hz: int, rng: np.random.Generator, curve: Curve, tone: Tone = ()) -> Wave:
    """Noise with a spectrum of this shape, RMS 1: a stretch of a longer loop, from a place of chance."""
    loop = _noise_loop(rate_hz, curve, tone)
    start = int(rng.integers(loop.size))
    return np.resize(np.roll(loop, -start) if frames > loop.size - start else loop[start:], frames)


@lru_cache(maxsize=64)
def _noise_loop(rate_hz: int, curve: Curve, tone: Tone) -> Wave:
    rng = np.random.default_rng(zlib.crc32(repr((rate_hz, curve, tone)).encode()))
    freq_hz = np.fft.rfftfreq(_LOOP, 1.0 / rate_hz).astype(np.float64)
    spectrum = np.fft.rfft(rng.standard_normal(_LOOP)) * curve_gain(curve, freq_hz) * tone_gain(tone, freq_hz)
    wave = np.fft.irfft(spectrum)
    return np.asarray(wave / np.sqrt(np.mean(wave**2)))


def _quick_size(least: int) -> int:
    """A size that is quick to transform: five, six or eight times a power of two."""
    power = 1 << (least - 1).bit_length()
    return min(size for size in (power // 8 * 5, power // 4 * 3, power) if size >= least)


def period(amplitudes: Wave, rng: np.random.Generator | None = None) -> Wave:
    """One period with these harmonics (the first is the fundamental), closed at its end, RMS 1.

    Phases are Schroeder's for a low crest (Synthesis of low-peak-factor signals, IEEE Trans. Inf.
    Theory 16, 1970, eq. 11 for a flat spectrum), or random when `rng` is given.
    """
    index = np.arange(1, amplitudes.size + 1)
    phases = (
        np.pi * index**2 / amplitudes.size if rng is None else rng.uniform(0.0, 2.0 * np.pi, amplitudes.size)
    )
    spectrum = np.zeros(PERIOD // 2 + 1, dtype=np.complex128)
    spectrum[1 : amplitudes.size + 1] = amplitudes * np.exp(1j * phases)
    wave = np.fft.irfft(spectrum)
    wave /= np.sqrt(np.mean(wave**2))
    return np.append(wave, wave[0])


def read_period(table: Wave, cycles: Wave) -> Wave:
    """The wave at each phase, counted in cycles."""
    place = (cycles - np.floor(cycles)) * PERIOD
    index = place.astype(np.int32)
    low = table[index]
    return np.asarray(low + (place - index) * (table[index + 1] - low), dtype=np.float64)


def harmonics(freq_hz: float, rate_hz: int, top_hz: float = 20_000.0) -> Wave:
    """The frequencies of a note's harmonics, as far as they are of use."""
    count = int(min(top_hz, 0.47 * rate_hz) / freq_hz)
    return freq_hz * np.arange(1.0, min(count, PERIOD // 4) + 1.0)


def pitch_hz(midi: float) -> float:
    """Equal temperament on A4 = 440 Hz."""
    return float(440.0 * 2.0 ** ((midi - 69.0) / 12.0))
