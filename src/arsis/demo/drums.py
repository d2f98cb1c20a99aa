"""The drums: each stroke is made from what the thing is (skin, shell, wires, metal), peak 1."""

from __future__ import annotations

import numpy as np

from .tone import Wave, decay, noise


def kick(rate_hz: int, rng: np.random.Generator, strength: float) -> Wave:
    """A skin whose pitch falls onto 50 Hz, and a beater."""
    frames = int(0.42 * rate_hz)
    t = np.arange(frames) / rate_hz
    # The pitch 48 + 45 e^(-t/50 ms) + 240 e^(-t/5 ms), integrated.
    cycles = 48.0 * t + 45.0 * 0.05 * (1 - np.exp(-t / 0.05)) + 240.0 * 0.005 * (1 - np.exp(-t / 0.005))
    body = np.sin(2 * np.pi * cycles) * np.minimum(decay(frames, rate_hz, 0.1) * 1.3, 1.0)
    click = noise(frames, rate_hz, rng, ((300, -30), (1500, -4), (3200, 0), (7000, -6), (16000, -24)))
    struck = np.tanh(1.9 * body * _rise(frames, rate_hz, 0.0008)) + (0.20 + 0.22 * strength) * click * decay(
        frames, rate_hz, 0.0042
    )
    return _peak(struck * _fall(frames, rate_hz, 0.06))


def snare(rate_hz: int, rng: np.random.Generator, strength: float) -> Wave:
    """Two shell tones, the wires, and the crack of the stick."""
    frames = int(0.40 * rate_hz)
    t = np.arange(frames) / rate_hz
    bend = 1.0 + 0.25 * np.exp(-t / 0.03)
    shell = np.sin(2 * np.pi * np.cumsum(192.0 * bend) / rate_hz) * decay(frames, rate_hz, 0.075)
    shell += 0.55 * np.sin(2 * np.pi * np.cumsum(336.0 * bend) / rate_hz) * decay(frames, rate_hz, 0.05)
    wires = noise(
        frames, rate_hz, rng, ((150, -10), (300, 0), (1200, -1), (4000, -8), (9000, -16), (18000, -34))
    )
    crack = noise(frames, rate_hz, rng, ((400, -20), (2200, 0), (6000, -5), (16000, -16)))
    struck = 0.45 * shell + 0.32 * wires * decay(frames, rate_hz, 0.085)
    struck += 0.5 * strength * crack * decay(frames, rate_hz, 0.006)
    return _peak(np.tanh(1.6 * struck * _rise(frames, rate_hz, 0.0005)) * _fall(frames, rate_hz, 0.08))


def hat(rate_hz: int, rng: np.random.Generator, strength: float, ring_s: float = 0.032) -> Wave:
    """Two thin plates: noise with the ring of unrelated partials."""
    frames = int((0.06 + 4.0 * ring_s) * rate_hz)
    hiss = noise(
        frames, rate_hz, rng, ((1500, -40), (5000, -9), (8500, 0), (13000, -2), (16000, -9), (20000, -26))
    )
    metal = _metal(frames, rate_hz, rng, 3_400.0, 12)
    struck = (hiss + 0.9 * metal) * decay(frames, rate_hz, ring_s)
    struck += 0.8 * strength * hiss * decay(frames, rate_hz, 0.004)
    return _peak(struck * _rise(frames, rate_hz, 0.0004) * _fall(frames, rate_hz, 0.03))


def crash(rate_hz: int, rng: np.random.Generator, strength: float) -> Wave:
    """A large plate: bright at first, then a long wash."""
    frames = int(3.2 * rate_hz)
    bright = noise(
        frames, rate_hz, rng, ((500, -30), (2500, -8), (6000, 0), (12000, -2), (16000, -9), (20000, -26))
    )
    wash = noise(frames, rate_hz, rng, ((250, -24), (900, -6), (3500, 0), (8000, -5), (16000, -18)))
    ring = _metal(frames, rate_hz, rng, 620.0, 26)
    struck = bright * decay(frames, rate_hz, 0.22) + 0.55 * (wash + ring) * decay(frames, rate_hz, 0.75)
    return _peak(struck * _rise(frames, rate_hz, 0.001) * _fall(frames, rate_hz, 0.8)) * (
        0.7 + 0.3 * strength
    )


def tom(rate_hz: int, rng: np.random.Generator, strength: float, freq_hz: float = 96.0) -> Wave:
    """A skin with a falling pitch, larger and slower than the snare."""
    frames = int(0.55 * rate_hz)
    t = np.arange(frames) / rate_hz
    cycles = np.cumsum(freq_hz * (1.0 + 0.5 * np.exp(-t / 0.025))) / rate_hz
    skin = np.sin(2 * np.pi * cycles) + 0.3 * np.sin(2 * np.pi * 1.59 * cycles) * decay(frames, rate_hz, 0.06)
    stick = noise(frames, rate_hz, rng, ((300, -14), (1200, 0), (4000, -6), (14000, -24)))
    struck = skin * decay(frames, rate_hz, 0.17) + 0.4 * strength * stick * decay(frames, rate_hz, 0.008)
    return _peak(struck * _rise(frames, rate_hz, 0.0008) * _fall(frames, rate_hz, 0.1))


def shaker(rate_hz: int, rng: np.random.Generator, strength: float) -> Wave:
    """Grains in a shell: no attack to speak of."""
    frames = int(0.11 * rate_hz)
    shape = np.sin(np.pi * np.linspace(0.0, 1.0, frames)) ** 2 * decay(frames, rate_hz, 0.06)
    return _peak(noise(frames, rate_hz, rng, ((2500, -26), (5500, -3), (9000, 0), (16000, -8))) * shape)


def riser(rate_hz: int, rng: np.random.Generator, length_s: float) -> Wave:
    """Noise that opens and swells toward the end."""
    frames = int(length_s * rate_hz)
    dark = noise(frames, rate_hz, rng, ((200, -12), (500, 0), (1500, -3), (4000, -24)))
    bright = noise(frames, rate_hz, rng, ((800, -24), (4000, -3), (8000, 0), (16000, -6)))
    place = np.linspace(0.0, 1.0, frames)
    swell = place**2 * np.minimum(1.0, (1.0 - place) * length_s / 0.03)
    return _peak(((1.0 - place) * dark + place * bright) * swell)


def _metal(frames: int, rate_hz: int, rng: np.random.Generator, lowest_hz: float, partials: int) -> Wave:
    t = np.arange(frames) / rate_hz
    freqs = lowest_hz * np.cumprod(rng.uniform(1.03, 1.19, partials))
    freqs = freqs[freqs < 0.45 * rate_hz]
    total = np.zeros(frames)
    for freq, phase in zip(freqs, rng.uniform(0.0, 2 * np.pi, freqs.size), strict=True):
        total += np.sin(2 * np.pi * freq * t + phase)
    return np.asarray(total / np.sqrt(freqs.size))


def _rise(frames: int, rate_hz: int, time_s: float) -> Wave:
    return np.minimum(1.0, np.arange(frames) / (time_s * rate_hz))


def _fall(frames: int, rate_hz: int, time_s: float) -> Wave:
    return np.minimum(1.0, np.arange(frames, 0, -1) / (time_s * rate_hz))


def _peak(wave: Wave) -> Wave:
    return np.asarray(wave / np.max(np.abs(wave)))
