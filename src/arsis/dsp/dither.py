"""Sound to words of fewer bits, with the noise that makes the rounding harmless.

Triangular noise two steps wide makes mean and variance of the error independent of the sound
(Lipshitz, Wannamaker and Vanderkooy, "Quantization and dither: a theoretical survey", JAES 40(5), 1992).
The noise of a sample follows from seed, channel and frame alone, so neither blocks nor threads nor the
place where a render starts change it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block

from .kernels.dither import FLAT, NO_NOISE, SHAPED, TAPS, quantise

# Error feedback c1, c2, ... of NTF = 1 - sum c_k z^-k, made for 44.1 kHz. The figures are as transcribed
# in public source code that names these papers; the papers themselves were not at hand.
# Lipshitz, Vanderkooy and Wannamaker, "Minimally audible noise shaping", JAES 39(11), 1991, appendix:
# lipshitz_5, modified_e_9, improved_e_9. Wannamaker, "Psychoacoustically optimal noise shaping",
# JAES 40(7/8), 1992, table 3: wannamaker_3, wannamaker_9.
SHAPERS: dict[str, tuple[float, ...]] = {
    "lipshitz_5": (2.033, -2.165, 1.959, -1.590, 0.6149),
    "modified_e_9": (1.662, -1.263, 0.4827, -0.2913, 0.1268, -0.1124, 0.03252, -0.01265, -0.03524),
    "improved_e_9": (2.847, -4.685, 6.214, -7.184, 6.639, -5.032, 3.263, -1.632, 0.4191),
    "wannamaker_3": (1.623, -0.982, 0.109),
    "wannamaker_9": (2.412, -3.370, 3.937, -4.174, 3.353, -2.205, 1.281, -0.569, 0.0847),
}

LEAST_BITS, MOST_BITS = 8, 32


class Quantiser:
    """Rounds a stream of blocks to integers of `bits` bits.

    kind: "none" (nearest integer), "flat" (triangular noise), or a name in SHAPERS (the same noise, shaped).
    first_frame: where in the song the stream starts. "none" and "flat" may start anywhere; a shaper
    carries its past errors, so its stream is the same only from the start of the song.
    clipped: how many samples lay outside the range so far.
    """

    def __init__(
        self, bits: int, channels: int, seed: int, kind: str = "flat", *, first_frame: int = 0
    ) -> None:
        if not LEAST_BITS <= bits <= MOST_BITS or kind not in ("none", "flat", *SHAPERS):
            raise ValueError(f"cannot quantise to {bits} bits with {kind!r}")
        self.clipped = 0
        self._bits = bits
        self._channels = channels
        starts = [_mixed(_mixed(seed) + channel) for channel in range(channels)]
        self._starts = np.array(starts, np.uint64)
        self._kind = {"none": NO_NOISE, "flat": FLAT}.get(kind, SHAPED)
        self._coefficients = np.zeros(TAPS)
        feedback = SHAPERS.get(kind, ())
        self._coefficients[: len(feedback)] = feedback
        self._errors = np.zeros((TAPS, 2))
        self._frame = first_frame

    def process(self, block: Block, exact: NDArray[np.uint8] | None = None) -> NDArray[np.int32]:
        """Integers in [-2^(bits-1), 2^(bits-1) - 1], shape (channels, frames).

        exact: (frames,), not zero where a frame already is a whole number of steps: it passes as it is,
        without noise, and the shaper forgets its errors there.
        """
        if block.shape[0] != self._channels:
            raise ValueError(f"a block of {block.shape[0]} channels in a stream of {self._channels}")
        out = np.empty(block.shape, np.int32)
        self.clipped += quantise(
            block,
            self._bits,
            self._kind,
            self._starts,
            self._frame,
            exact,
            self._coefficients,
            self._errors,
            out,
        )
        self._frame += block.shape[1]
        return out


def _mixed(seed: int) -> int:
    """Spreads a seed over 64 bits, so that seeds next to each other share nothing.

    The finaliser of SplitMix64: Steele, Lea and Flood, "Fast splittable pseudorandom number generators",
    OOPSLA 2014, figure 14, constants of Stafford's variant 13.
    """
    mask = (1 << 64) - 1
    value = (seed + 0x9E3779B97F4A7C15) & mask
    value = ((value ^ (value >> 30)) * 0xBF58476D1CE4E5B9) & mask
    value = ((value ^ (value >> 27)) * 0x94D049BB133111EB) & mask
    return value ^ (value >> 31)
