"""Up to where a treated sound still has what the true one has."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block, Span

from .pair import Pair, frames_of

SIZE = 2048
MOST_FRAMES = 1 << 20
# Judged: a band that has lost this much is gone; what lies this far under the loudest band was never there.
GONE_DB = 15.0
THERE_DB = 110.0
LEAST_SHARE = 0.05  # of the band up to half the rate


def highest_kept_hz(pair: Pair, span: Span, late: int) -> float | None:
    """Above this everything of the true sound is gone; None where nothing is."""
    middle = (span.start + span.end) // 2
    near = Span(middle - MOST_FRAMES // 2, middle + MOST_FRAMES // 2).clip(span.start, span.end)
    found = _power(frames_of(pair.found, near.start, near.end))
    true = _power(frames_of(pair.true, near.start - late, near.end - late))
    there = true > true.max(initial=0.0) * 10.0 ** (-THERE_DB / 10.0)
    kept = there & (found > true * 10.0 ** (-GONE_DB / 10.0))
    if not kept.any():
        return None
    last = int(np.flatnonzero(kept)[-1])
    lost = np.count_nonzero(there[last + 1 :])
    if lost < LEAST_SHARE * true.size:
        return None
    return last * pair.found.info.rate_hz / SIZE


def _power(sound: Block) -> NDArray[np.float64]:
    """Mean power of both channels in each bin, over half-overlapping Hann windows."""
    window = 0.5 - 0.5 * np.cos(2.0 * np.pi * np.arange(SIZE) / SIZE)
    power = np.zeros(SIZE // 2 + 1)
    for start in range(0, sound.shape[1] - SIZE + 1, SIZE // 2):
        spectrum = np.fft.rfft(sound[:, start : start + SIZE] * window)
        power += np.sum(spectrum.real**2 + spectrum.imag**2, axis=0)
    return power
