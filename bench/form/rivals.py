"""What the finder is measured beside: a cut every eight bars, plain novelty, librosa's published chain."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block

from .scores import Form

Array = NDArray[np.float64]

HOP_S = 0.5
REACH = 16  # half the kernel, in hops
PEAK = 0.25  # of the curve's largest value


def letters(count: int) -> tuple[str, ...]:
    """Every section another: what a method without letters says."""
    return tuple(f"S{number}" for number in range(count))


def every_eight_bars(downbeats_s: tuple[float, ...], end_s: float) -> Form:
    """No listening at all, but the true bars known; every eight bars are said to be the same."""
    starts = (0.0, *(downbeats_s[8::8] or tuple(np.arange(16.0, end_s, 16.0).tolist())))
    return Form(starts, end_s, ("A",) * len(starts))


def plain_novelty(sound: Block, rate_hz: int) -> Form:
    """Foote, Automatic Audio Segmentation Using a Measure of Audio Novelty (2000), section 3.

    Cosines of log spectra in half seconds, a Gaussian checkerboard along the diagonal, its peaks.
    """
    rows = _log_spectra(sound.mean(axis=0), rate_hz)
    rows = rows - rows.mean(axis=0)
    rows /= np.linalg.norm(rows, axis=1, keepdims=True) + 1e-9
    similar = rows @ rows.T
    place = np.arange(-REACH, REACH) + 0.5
    taper = np.exp(-0.5 * (place / (0.4 * REACH)) ** 2)
    kernel = np.outer(np.sign(place) * taper, np.sign(place) * taper)
    padded = np.pad(similar, REACH, mode="edge")
    count = len(rows)
    curve = np.array(
        [(kernel * padded[at : at + 2 * REACH, at : at + 2 * REACH]).sum() for at in range(count)]
    )
    peaks = [
        at
        for at in range(REACH // 2, count - REACH // 2)
        if curve[at] >= curve[at - 6 : at + 7].max() and curve[at] > PEAK * curve.max()
    ]
    starts = (0.0, *(at * HOP_S for at in peaks))
    return Form(starts, sound.shape[1] / rate_hz, letters(len(starts)))


def _log_spectra(mono: Array, rate_hz: int) -> Array:
    """Mean power in 40 bands of equal ratio, every HOP_S, in dB."""
    size, hop = 4096, round(HOP_S * rate_hz)
    edges = np.geomspace(40.0, 16_000.0, 41) * size / rate_hz
    rows = []
    for start in range(0, max(len(mono) - size, 1), hop):
        cut = mono[start : start + hop + size]
        frames = np.lib.stride_tricks.sliding_window_view(cut, size)[:: size // 2] * np.hanning(size)
        power = (np.abs(np.fft.rfft(frames)) ** 2).mean(axis=0)
        sums = np.concatenate([[0.0], np.cumsum(power)])
        low, high = (
            np.floor(edges[:-1]).astype(int),
            np.maximum(np.ceil(edges[1:]), edges[:-1] + 1).astype(int),
        )
        rows.append(10.0 * np.log10((sums[high] - sums[low]) / (high - low) + 1e-8))
    return np.array(rows)


def librosa_chain(path: Path, parts: int) -> Form | None:
    """Its published chain on a file: load, beats, chroma and cepstra, what recurs from beat to beat, and the
    agglomerative segmentation of what lies between beats; None where librosa is missing.

    The number of sections has to be given: the true one is, which nobody knows beforehand. The recurrence
    matrix is what its chain has for repeats; its segmentation does not ask for it.
    """
    try:
        import librosa
    except ImportError:
        return None
    mono, at_hz = librosa.load(path, sr=22_050)
    end_s = len(mono) / at_hz
    _, beats = librosa.beat.beat_track(y=mono, sr=at_hz, trim=False)
    cepstra = librosa.feature.mfcc(y=mono, sr=at_hz, n_mfcc=13)
    chroma = librosa.feature.chroma_cqt(y=mono, sr=at_hz)
    count = min(cepstra.shape[1], chroma.shape[1])
    scaled = [(part - part.mean()) / (part.std() + 1e-9) for part in (cepstra, chroma)]
    rows = np.vstack([part[:, :count] for part in scaled])
    if len(beats) < parts + 1:
        return Form((0.0,), end_s, ("S0",))
    synced = librosa.util.sync(rows, beats)
    librosa.segment.recurrence_matrix(synced, width=3, mode="affinity", sym=True)
    edges = librosa.util.fix_frames(beats, x_min=0)
    cuts = librosa.segment.agglomerative(synced, min(parts, synced.shape[1]))
    times = librosa.frames_to_time(edges[np.minimum(cuts, len(edges) - 1)], sr=at_hz)
    starts = (0.0, *(float(time) for time in sorted(set(times.tolist())) if 0.0 < time < end_s))
    beats_s = tuple(float(time) for time in librosa.frames_to_time(beats, sr=at_hz))
    return Form(starts, end_s, letters(len(starts)), beats_s=beats_s)
