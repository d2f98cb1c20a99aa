"""Where things are struck: half-wave rectified growth of the compressed mel spectrum, in four bands.

After Dixon, Onset Detection Revisited (2006), section 2.1 (spectral flux), on a compressed spectrum and
against the larger of the two frames before, which a vibrato does not pass
(Böck and Widmer, Maximum Filter Vibrato Suppression for Onset Detection (2013)).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .banks import mel_edges_hz
from .features import FRAME_S, Features
from .running import Array, running_mean

FLUX_HZ = ((20.0, 150.0), (150.0, 700.0), (700.0, 4000.0), (4000.0, 16_000.0))
FLUX_WEIGHTS = np.array([1.0, 0.6, 0.8, 0.7])  # tuned on composed songs
LOCAL_S = 4.0
ROWS = 2048  # at a time: they stay in the second-level cache


@dataclass(frozen=True, slots=True)
class Onsets:
    """Onset curves, one row every FRAME_S.

    curve (n,): all bands together, what is above its surroundings.
    flux (n, 4): each band over its local rms. raw (n, 4): as it comes.
    """

    curve: Array
    flux: Array
    raw: Array


def find_onsets(features: Features) -> Onsets:
    """The onset curves of a song."""
    raw = _flux(features.mel)
    width = int(LOCAL_S / FRAME_S)
    local = running_mean(raw**2, width)
    flux = raw / np.sqrt(np.maximum(local, np.percentile(local, 20, axis=0) + 1e-6))
    smooth = np.convolve(flux @ FLUX_WEIGHTS, np.array([1.0, 3.0, 4.0, 3.0, 1.0]) / 12.0, "same")
    curve = np.maximum(smooth - 0.5 * running_mean(smooth, width), 0.0)
    return Onsets(curve, flux, raw)


def _flux(mel: NDArray[np.float32]) -> Array:
    """Growth per frame, mean over the mel bands of each band of FLUX_HZ, (n, 4)."""
    loud = np.percentile(mel[::8], 90, axis=0) + 1e-9  # every eighth frame tells the loud level as well
    scale = (100.0 / loud).astype(np.float32)
    centres = mel_edges_hz()[1:-1]
    inside = np.stack([(centres >= low) & (centres < high) for low, high in FLUX_HZ], axis=1)
    means = inside / inside.sum(axis=0)
    flux = np.zeros((len(mel), len(FLUX_HZ)))
    for start in range(2, len(mel), ROWS):
        level = np.log1p(mel[start - 2 : start + ROWS] * scale)
        growth = np.maximum(level[2:] - np.maximum(level[1:-1], level[:-2]), 0.0)
        flux[start : start + ROWS] = growth @ means
    return flux
