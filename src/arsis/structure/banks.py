"""Matrices that sum the bins of a power spectrum: mel bands, the engineer's bands, pitch classes, loudness.

Each has shape (bins, outputs), float32, so that one product over a batch of spectra gives every output.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Bank = NDArray[np.float32]
Freqs = NDArray[np.float64]

MEL_BANDS = 40
MEL_LOW_HZ, MEL_HIGH_HZ = 30.0, 16_000.0

# The five bands in which a mastering engineer speaks of balance (common practice, no source).
BANDS_HZ = ((20.0, 120.0), (120.0, 500.0), (500.0, 2000.0), (2000.0, 6000.0), (6000.0, 16_000.0))


def mel_edges_hz() -> Freqs:
    """MEL_BANDS + 2 edges. Mel scale: O'Shaughnessy, Speech Communication (1987), 2595 log10(1 + f/700)."""
    low, high = (2595.0 * np.log10(1.0 + hz / 700.0) for hz in (MEL_LOW_HZ, MEL_HIGH_HZ))
    mels = np.linspace(low, high, MEL_BANDS + 2)
    return np.asarray(700.0 * (10.0 ** (mels / 2595.0) - 1.0))


def mel_bank(freqs_hz: Freqs) -> Bank:
    """Triangles on the mel scale; one narrower than a bin takes the bin nearest its centre."""
    edges = mel_edges_hz()
    low, centre, high = edges[:-2], edges[1:-1], edges[2:]
    column = freqs_hz[:, None]
    bank = np.maximum(np.minimum((column - low) / (centre - low), (high - column) / (high - centre)), 0.0)
    for band in np.flatnonzero(bank.sum(axis=0) == 0.0):
        bank[np.argmin(np.abs(freqs_hz - centre[band])), band] = 1.0
    return bank.astype(np.float32)


def band_bank(freqs_hz: Freqs) -> Bank:
    """The five bands of BANDS_HZ, [low, high)."""
    inside = [(freqs_hz >= low) & (freqs_hz < high) for low, high in BANDS_HZ]
    return np.stack(inside, axis=1).astype(np.float32)


def loudness_bank(freqs_hz: Freqs) -> Bank:
    """Power response of the K weighting, one column (ITU-R BS.1770-5 (2023), Tables 1 and 2, at 48 kHz)."""
    z = np.exp(-2j * np.pi * np.clip(freqs_hz, 1.0, 23_900.0) / 48_000.0)
    shelf = (1.53512485958697 - 2.69169618940638 * z + 1.19839281085285 * z**2) / (
        1.0 - 1.69065929318241 * z + 0.73248077421585 * z**2
    )
    high_pass = (1.0 - 2.0 * z + z**2) / (1.0 - 1.99004745483398 * z + 0.99007225036621 * z**2)
    return np.asarray(np.abs(shelf * high_pass) ** 2, np.float32)[:, None]


def pitch_bank(freqs_hz: Freqs) -> Bank:
    """Twelve pitch classes of the harmony (110-2000 Hz), then twelve of the bass (35-180 Hz, wider)."""
    pitch = 12.0 * np.log2(np.maximum(freqs_hz, 1e-3) / 440.0) + 69.0
    away = (pitch[:, None] - np.arange(12) + 6.0) % 12.0 - 6.0

    def classes(low_hz: float, high_hz: float, width: float) -> Freqs:
        inside = (freqs_hz >= low_hz) & (freqs_hz <= high_hz)
        return np.asarray(np.exp(-0.5 * (away / width) ** 2) * inside[:, None])

    both = np.concatenate([classes(110.0, 2000.0, 0.35), classes(35.0, 180.0, 0.6)], axis=1)
    return both.astype(np.float32)
