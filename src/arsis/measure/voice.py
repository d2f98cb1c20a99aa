"""`voice_db`: how far a voice in the middle stands beside everything else. An estimate, arsis's own.

Of the long spectra that `spectrum` takes, from 300 to 4000 Hz, a voice is taken to be what is

1. *in the middle*: what both channels hold alike, Re(L R*);
2. *moving*: in a third of a second a sung or spoken partial sweeps over many bins, where that of a key or a
   string stays within the four of the window (Tachibana, Ono and Sagayama, "Melody line estimation in
   homophonic music audio signals based on temporal-variability of melodic source", ICASSP 2010, tell a voice
   from chords so). Only the median of every nine bins counts, and only as far as it fills them;
3. *sustained*: a drum is level over hundreds of hertz. So only what stands out of 20 such groups counts.

The median of nine is Tukey's ninther ("The ninther, a technique for low-effort robust (resistant) location in
large samples", 1978), the nine interleaved, so that the four bins of a steady partial never carry it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from arsis.dsp.stft import Frame, FramePower
from arsis.units import power_to_db

Floats = NDArray[np.float64]

VOICE_HZ = (300.0, 4000.0)
GROUP_BINS = 9  # 24 to 26 Hz at the rates of records
BAND_GROUPS = 20  # 480 to 530 Hz
BAND_BINS = GROUP_BINS * BAND_GROUPS
# Tuned on the demo's songs and their instrumentals (docs/references.md).
FLOOR_RANK = 12  # of 20, rising: the level of what is not the voice
FLOOR_TIMES = 2.0
EVENNESS = (0.4, 0.7)  # median over mean of nine bins: nothing counts below, all of it above
LEAST_DB = -16.0  # nothing that could be a voice
MOST_WAITING = 8  # frames worked on together: few calls of numpy, arrays small enough to be used again
TINY = float(np.finfo(np.float64).tiny)
MONO_SHARE = 1e-4  # side under mid by 40 dB: what lies in the middle says nothing


class VoiceMeter:
    """Adds up, span by span, the frames that lie wholly in the sound; `length` of the frames."""

    def __init__(self, rate_hz: int, length: int, spans: int) -> None:
        first = round(VOICE_HZ[0] * length / rate_hz)
        last = min(length // 2, round(VOICE_HZ[1] * length / rate_hz))
        self._bands = max(0, last - first) // BAND_BINS
        self._bins = slice(first, first + self._bands * BAND_BINS)
        self._waiting: list[tuple[list[int], Floats, Floats]] = []
        self._sums = np.zeros((spans, 3, self._bands))  # all, in the middle, of a voice

    def add(self, frame: Frame, found: FramePower, spans: list[int]) -> None:
        """Hears the next frame, for the spans with these numbers."""
        if not frame.whole or len(found.bins) != 2 or not self._bands:
            return
        left, right = found.bins[0][self._bins], found.bins[1][self._bins]
        middle = (2.0 * found.scale) * (left * right.conj()).real
        self._waiting.append((spans, found.power[self._bins].copy(), middle))
        if len(self._waiting) == MOST_WAITING:
            self._settle()

    def voices_db(self) -> tuple[float | None, ...]:
        """Of each span; None for mono, for silence, and where nothing could be a voice."""
        self._settle()
        return tuple(_voice_db(*sums) for sums in self._sums)

    def _settle(self) -> None:
        if self._waiting:
            spans, both, middle = zip(*self._waiting, strict=True)
            parts = _parts(np.stack(both), np.stack(middle))
            for within, part in zip(spans, parts, strict=True):  # in their order, however many wait
                for i in within:
                    self._sums[i] += part
            self._waiting = []


def _parts(both: Floats, middle: Floats) -> Floats:
    """What each frame holds in each band: all, in the middle, of a voice; (frames, 3, bands)."""
    frames = len(both)
    in_group = _by_place(both).sum(axis=0)
    moving = ninthers(_by_place(middle)).reshape(frames, -1, BAND_GROUPS)
    floor = FLOOR_TIMES * np.maximum(np.sort(moving, axis=2)[:, :, FLOOR_RANK, np.newaxis], 0.0)
    low, high = EVENNESS
    full = moving / np.maximum(in_group.reshape(moving.shape) / GROUP_BINS, TINY)
    counts = np.minimum(np.maximum((full - low) / (high - low), 0.0), 1.0)
    voice = GROUP_BINS * (counts * np.maximum(moving - floor, 0.0)).sum(axis=2)
    in_band = (frames, -1, BAND_BINS)
    return np.stack([both.reshape(in_band).sum(axis=2), middle.reshape(in_band).sum(axis=2), voice], axis=1)


def _by_place(values: Floats) -> Floats:
    """(9, groups): the first bin of every group, the second, and so on."""
    return np.ascontiguousarray(values.reshape(-1, GROUP_BINS).T)


def ninthers(places: Floats) -> Floats:
    """Down each column of nine, the median of the medians of every third value."""
    thirds = _median(places[0:3], places[3:6], places[6:9])
    return _median(*thirds)


def _median(a: Floats, b: Floats, c: Floats) -> Floats:
    return np.asarray(np.maximum(np.minimum(a, b), np.minimum(np.maximum(a, b), c)))


def _voice_db(both: Floats, middle: Floats, voice: Floats) -> float | None:
    """The share of the voice is taken in each band first: then an equaliser over all of it moves nothing."""
    heard = both > 0.0
    side = both.sum() - middle.sum()
    if not heard.any() or side <= MONO_SHARE * (both.sum() + middle.sum()):
        return None
    share = float(np.mean(voice[heard] / both[heard]))
    voice_db = power_to_db(share / (1.0 - share)) if share < 1.0 else float("inf")
    return voice_db if LEAST_DB <= voice_db < float("inf") else None
