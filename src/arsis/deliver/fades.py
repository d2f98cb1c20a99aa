"""Fades of whole songs: at the ends of a song, and of what is laid between two.

With s(t) = sin(pi t / 2) over the fade's time t from 0 to 1, a fade that another sound is heard under has
the gain s(t): two songs are unlike, their powers add up, and with s rising over one and falling over the
other the power stays (s(t)² + s(1 - t)² = 1), 3 dB down for each in the middle. A fade into or out of
silence has the gain s(t)², the raised cosine: flat at both ends, so that the end of a fade is not heard
as an end, 6 dB down in the middle. Common practice, no source.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block

from .laid import Laid

# sin(pi t / 2) by Taylor's series up to t^21, t in [0, 1]: what is left out lies under 1e-17. Sums and
# products only, so that every machine has the same bits.
_TERMS = tuple((-1.0) ** k * (math.pi / 2.0) ** (2 * k + 1) / math.factorial(2 * k + 1) for k in range(11))


def quarter_sine(t: NDArray[np.float64]) -> NDArray[np.float64]:
    """sin(pi t / 2) for t from 0 to 1, the same on every machine."""
    square = t * t
    total = np.full_like(t, _TERMS[-1])
    for term in _TERMS[-2::-1]:
        total = total * square + term
    return total * t


def faded(laid: Laid, start: int, sound: Block, own: NDArray[np.uint8]) -> tuple[Block, NDArray[np.uint8]]:
    """Frames from `start` on of what sounds, with its fades; what is faded is no sound's own words.

    own: one a frame, not zero where the sound's own words stand.
    """
    gain = _gain(laid, start, sound.shape[1])
    if gain is None:
        return sound, own
    return sound * gain, np.where(gain == 1.0, own, 0).astype(np.uint8)


def _gain(laid: Laid, start: int, frames: int) -> NDArray[np.float64] | None:
    """None where no fade touches these frames. A fade's frames lie at its interior points (k + 1/2) / n."""
    end = start + frames
    tail_from = laid.frames - laid.fade_out
    if start >= laid.fade_in and end <= tail_from:
        return None
    at = np.arange(start, end)
    gain = np.ones(frames)
    for inside, count, frames_in, shared in (
        (at < laid.fade_in, laid.fade_in, at, laid.head_shared),
        (at >= tail_from, laid.fade_out, laid.frames - 1 - at, laid.tail_shared),
    ):
        if count:
            rising = quarter_sine((frames_in[inside] + 0.5) / count)
            gain[inside] = rising if shared else rising * rising
    return gain
