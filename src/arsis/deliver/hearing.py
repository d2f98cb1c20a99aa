"""What a delivered file is and measures, heard on its words while they are written."""

from __future__ import annotations

import hashlib
import math

import numpy as np
from numpy.typing import NDArray

from arsis.measure.loudness import Powers
from arsis.measure.summary import Meters
from arsis.render.words import Word, Words

from .manifest import SoundFacts


class FileEar:
    """Listens to the words of one file; blocks of any length, in order."""

    def __init__(self, rate_hz: int, channels: int, word: Word) -> None:
        self._rate_hz, self._channels, self._word = rate_hz, channels, word
        self._meters = Meters(rate_hz, channels)
        self._digest = hashlib.sha256()
        self._full_scale = 1.0 if word.is_float else 2.0 ** (1 - word.bits)
        self._ever = 0
        self._frames = 0
        self._first: int | None = None
        self._last = -1

    def hear(self, words: Words) -> None:
        """The next words, int32 or float64, shape (channels, frames)."""
        if not words.shape[1]:
            return
        self._meters.add(np.multiply(words, self._full_scale, dtype=np.float64))
        kept = np.ascontiguousarray(words.T, dtype="<f4" if self._word.is_float else "<i4")
        self._digest.update(kept.data)
        if not self._word.is_float:
            self._ever |= int(np.bitwise_or.reduce(kept, axis=None))
        self._mark(np.any(words, axis=0))
        self._frames += words.shape[1]

    def _mark(self, sounding: NDArray[np.bool_]) -> None:
        if not sounding.any():
            return
        if self._first is None:
            self._first = self._frames + int(np.argmax(sounding))
        self._last = self._frames + sounding.size - 1 - int(np.argmax(sounding[::-1]))

    def powers(self) -> Powers:
        """K-weighted power of every 10 ms so far."""
        return self._meters.energies()

    def facts(self, container: str, *, is_lossy: bool = False) -> SoundFacts:
        """The facts of all that has been heard, for a file of this container."""
        meters = self._meters.facts()
        has_bits = not (self._word.is_float or is_lossy)
        return SoundFacts(
            container=container,
            rate_hz=self._rate_hz,
            channels=self._channels,
            bits=None if is_lossy else self._word.bits,
            is_float=self._word.is_float and not is_lossy,
            used_bits=self._used_bits() if has_bits else None,
            frames=self._frames,
            sound_sha256=self._digest.hexdigest(),
            integrated_lufs=_level(meters.integrated_lufs),
            range_lu=_level(meters.range_lu),
            max_momentary_lufs=_level(meters.max_momentary_lufs),
            max_short_term_lufs=_level(meters.max_short_term_lufs),
            true_peak_dbtp=_level(meters.true_peak_dbtp),
            sample_peak_dbfs=_level(meters.sample_peak_dbfs),
            head_silence_frames=self._frames if self._first is None else self._first,
            tail_silence_frames=self._frames - 1 - self._last,
        )

    def _used_bits(self) -> int:
        """The word's bits less those at its end that are zero in every sample."""
        lowest = (self._ever & -self._ever).bit_length() - 1
        return self._word.bits - lowest if self._ever else 0


def _level(value: float) -> float | None:
    return value if math.isfinite(value) else None
