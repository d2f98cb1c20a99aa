"""What the meters read through a song, ten times a second: each reading is of what ends there."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from arsis.measure.loudness import (
    ABSOLUTE_GATE_LUFS,
    BLOCK_STEP_HOPS,
    MOMENTARY_HOPS,
    SHORT_TERM_HOPS,
    momentary_lufs,
    short_term_lufs,
)

from .measured import Measured

HOP_S = 0.1
_TRACED = 5  # of the limiter's trace in one hop
_RELATED = MOMENTARY_HOPS // BLOCK_STEP_HOPS  # hops over which two channels are related: 400 ms

_Figures = NDArray[np.float64]


def series(sound: Measured) -> dict[str, float | _Figures]:
    """Reading k is of the window that ends at (k + 1) hops; nan or -inf where there is none.

    momentary is over 400 ms, short-term over 3 s, true peak over the hop, PSR the highest true peak of the
    last 3 s over their loudness, correlation over 400 ms, took the most within the hop.
    """
    hops = sound.energies.size // BLOCK_STEP_HOPS
    short = _ended(short_term_lufs(sound.energies), SHORT_TERM_HOPS // BLOCK_STEP_HOPS, hops)
    moment = momentary_lufs(sound.energies)[::BLOCK_STEP_HOPS]
    with np.errstate(divide="ignore"):
        peaks_dbtp = 20.0 * np.log10(sound.true_peaks[:hops])
    highest = _ended(_over(peaks_dbtp, SHORT_TERM_HOPS // BLOCK_STEP_HOPS, np.max), 30, hops)
    return {
        "hop_s": HOP_S,
        "momentary_lufs": _ended(moment, _RELATED, hops),
        "short_term_lufs": short,
        "true_peak_dbtp": peaks_dbtp,
        "psr_db": np.where(short > ABSOLUTE_GATE_LUFS, highest - short, np.nan),
        "correlation": _ended(_correlations(sound.relations[:hops]), _RELATED, hops),
        "took_db": _most(sound.took_db, hops),
    }


def _over(values: _Figures, width: int, what: Callable[..., _Figures]) -> _Figures:
    if values.shape[0] < width:
        return np.empty(0)
    windows = np.lib.stride_tricks.sliding_window_view(values, width, axis=0)
    return np.asarray(what(windows, axis=-1))


def _ended(values: _Figures, width: int, hops: int) -> _Figures:
    """Of windows by where they begin to windows by where they end."""
    return np.concatenate([np.full(width - 1, np.nan), values, np.full(hops, np.nan)])[:hops]


def _correlations(relations: _Figures) -> _Figures:
    sums = _over(relations, _RELATED, np.sum).reshape(-1, 3)
    both = sums[:, 0] * sums[:, 1]
    product = np.divide(sums[:, 2], np.sqrt(both), out=np.full(len(sums), np.nan), where=both > 0.0)
    return np.asarray(np.clip(product, -1.0, 1.0))


def _most(trace_db: _Figures, hops: int) -> _Figures:
    if not trace_db.size:
        return trace_db
    padded = np.concatenate([trace_db, np.zeros(hops * _TRACED)])[: hops * _TRACED]
    return np.asarray(padded.reshape(hops, _TRACED).max(axis=1))
