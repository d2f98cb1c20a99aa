"""Peaks against levels: crest, peak to loudness, peak to short-term loudness."""

from __future__ import annotations

import math

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from .loudness import ABSOLUTE_GATE_LUFS, SHORT_TERM_HOPS, short_term_lufs

PEAK_STEP_HOPS = 10  # a peak for every 100 ms, a short-term loudness as often
RUNG = 10.0  # 20 dB: what is so much louder just before a window rings on into it through the K-weighting


def _difference(upper_db: float, lower_db: float) -> float | None:
    return upper_db - lower_db if math.isfinite(upper_db) and math.isfinite(lower_db) else None


def crest_db(true_peak_dbtp: float, rms_dbfs: float) -> float | None:
    """True peak of the louder channel over the rms of all channels: 3.01 for a sine; None for silence."""
    return _difference(true_peak_dbtp, rms_dbfs)


def plr_db(true_peak_dbtp: float, integrated_lufs: float) -> float | None:
    """Peak to loudness ratio: true peak over integrated loudness; None where one does not exist."""
    return _difference(true_peak_dbtp, integrated_lufs)


def psr_min_db(peaks: NDArray[np.float64], energies: NDArray[np.float64]) -> float | None:
    """The least peak to short-term ratio: true peak of 3 s over their loudness, every 100 ms.

    peaks: largest true-peak magnitude of every 100 ms. energies: K-weighted power of every 10 ms. Windows
    at or below the absolute gate of -70 LUFS do not count, nor does one just before which the sound was
    20 dB above its peak: it holds the filters' ring of that sound. None where none counts.
    """
    loudness = short_term_lufs(energies, PEAK_STEP_HOPS)
    window = SHORT_TERM_HOPS // PEAK_STEP_HOPS
    if not loudness.size:
        return None
    highest = sliding_window_view(peaks, window).max(axis=1)[: loudness.size]
    before = np.concatenate([[0.0], peaks])[: loudness.size]
    counts = (loudness > ABSOLUTE_GATE_LUFS) & (before <= RUNG * highest)
    if not counts.any():
        return None
    return float((20.0 * np.log10(highest[counts]) - loudness[counts]).min())
