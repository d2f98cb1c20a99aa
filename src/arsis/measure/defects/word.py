"""The word length that a file's samples really have."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from arsis.audio import Block

# Words longer than this are not told apart in float32, whose mantissa has 24 bits.
MOST_BITS = 24


@dataclass(frozen=True, slots=True)
class WordFacts:
    """bits: of the file; None where there is no such thing. used_bits: the shortest word that holds every
    sample; None of floats that none of up to MOST_BITS holds, and of silence."""

    bits: int | None
    used_bits: int | None


class WordMeter:
    """Listens to samples as whole words: the bits at a word's end that are never set are not used."""

    def __init__(self, bits: int | None, is_float: bool) -> None:
        self._bits, self._is_float = bits, is_float
        self._scale = 2.0 ** ((MOST_BITS if is_float or bits is None else bits) - 1)
        self._ever = 0
        self._whole = True

    def add(self, block: Block) -> None:
        """Hears the next frames."""
        if not self._whole or not block.size:
            return
        scaled = block * self._scale
        if self._is_float and float(np.abs(scaled).max()) >= 2.0**62:
            self._whole = False
            return
        words = scaled.astype(np.int64)
        if self._is_float and not np.array_equal(words, scaled):
            self._whole = False
            return
        self._ever |= int(np.bitwise_or.reduce(words, axis=None))

    def facts(self) -> WordFacts:
        """Of all that has been heard."""
        if self._bits is None or not self._whole or not self._ever:
            return WordFacts(self._bits, None)
        unused = (self._ever & -self._ever).bit_length() - 1
        return WordFacts(self._bits, round(np.log2(self._scale)) + 1 - unused)
