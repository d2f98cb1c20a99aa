"""What a delivered file is and measures, heard on its words while they are written."""

from __future__ import annotations

import hashlib
import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from arsis.audio import BLOCK_FRAMES, Block
from arsis.io.read import SoundReader
from arsis.measure.loudness import Powers
from arsis.measure.summary import Meters
from arsis.render.words import Word, Words

from .manifest import SoundFacts
from .paperwork.extra import MixHeard


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

    def hear(self, words: Words) -> Block:
        """The next words, int32 or float64, shape (channels, frames); gives them as sound."""
        sound = np.multiply(words, self._full_scale, dtype=np.float64)
        if not words.shape[1]:
            return sound
        self._meters.add(sound)
        kept = np.ascontiguousarray(words.T, dtype="<f4" if self._word.is_float else "<i4")
        self._digest.update(kept.data)
        if not self._word.is_float:
            self._ever |= int(np.bitwise_or.reduce(kept, axis=None))
        self._mark(np.any(words, axis=0))
        self._frames += words.shape[1]
        return sound

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
            used_bits=used_bits(self._ever, self._word.bits) if has_bits else None,
            frames=self._frames,
            sound_sha256=self._digest.hexdigest(),
            integrated_lufs=_level(meters.integrated_lufs),
            range_lu=meters.range_lu,
            max_momentary_lufs=_level(meters.max_momentary_lufs),
            max_short_term_lufs=_level(meters.max_short_term_lufs),
            true_peak_dbtp=_level(meters.true_peak_dbtp),
            sample_peak_dbfs=_level(meters.sample_peak_dbfs),
            head_silence_frames=self._frames if self._first is None else self._first,
            tail_silence_frames=self._frames - 1 - self._last,
        )


class MixEar:
    """Listens to a mix while it is rendered, and to what a trim leaves unrendered when it is asked."""

    def __init__(self, mix: SoundReader) -> None:
        self._mix, info = mix, mix.info
        self._meters = Meters(info.rate_hz, info.channels)
        self._bits = None if info.is_float else info.bits
        self._ever = self._frames = 0

    def hear(self, block: Block) -> None:
        self._meters.add(block)
        self._frames += block.shape[1]
        if self._bits is not None:
            words = (block * 2.0 ** (self._bits - 1)).astype(np.int64)
            self._ever |= int(np.bitwise_or.reduce(words, axis=None))

    def heard(self) -> MixHeard:
        """The facts of all of the mix."""
        self._mix.seek(self._frames)
        while (block := self._mix.read(BLOCK_FRAMES)).shape[1]:
            self.hear(block)
        info, meters = self._mix.info, self._meters.facts()
        return MixHeard(
            rate_hz=info.rate_hz,
            channels=info.channels,
            bits=info.bits,
            is_float=info.is_float,
            used_bits=None if self._bits is None else used_bits(self._ever, self._bits),
            integrated_lufs=_level(meters.integrated_lufs),
            range_lu=meters.range_lu,
            true_peak_dbtp=_level(meters.true_peak_dbtp),
            sample_peak_dbfs=_level(meters.sample_peak_dbfs),
        )


def used_bits(ever: int, bits: int) -> int:
    """The word's bits less those at its end that are zero in every sample. ever: all samples, or-ed."""
    return bits - ((ever & -ever).bit_length() - 1) if ever else 0


def _level(value: float) -> float | None:
    return value if math.isfinite(value) else None


def unheard(frames: int) -> SoundFacts:
    """Of a sound that has not been heard: its length."""
    return replace(_UNHEARD, frames=frames, head_silence_frames=frames)


_UNHEARD = SoundFacts(
    container="wav",
    rate_hz=0,
    channels=0,
    bits=None,
    is_float=False,
    used_bits=None,
    frames=0,
    sound_sha256="",
    integrated_lufs=None,
    range_lu=None,
    max_momentary_lufs=None,
    max_short_term_lufs=None,
    true_peak_dbtp=None,
    sample_peak_dbfs=None,
    head_silence_frames=0,
    tail_silence_frames=0,
)
