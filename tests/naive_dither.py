"""Dither and error feedback, written from the formulas, one sample after the other."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block

_WORD = (1 << 64) - 1


def splitmix64(state: int) -> int:
    """Steele, Lea and Flood, OOPSLA 2014, figure 14: the output for a state that has been advanced."""
    z = state
    z = ((z ^ (z >> 30)) * 0xBF58476D1CE4E5B9) & _WORD
    z = ((z ^ (z >> 27)) * 0x94D049BB133111EB) & _WORD
    return z ^ (z >> 31)


def triangular(start: int, frame: int) -> float:
    """The difference of two uniform numbers, in steps."""
    z = splitmix64((start + (frame + 1) * 0x9E3779B97F4A7C15) & _WORD)
    return ((z >> 32) - (z & 0xFFFFFFFF)) / 2.0**32


def quantise(
    block: Block, bits: int, starts: list[int], feedback: tuple[float, ...], exact: NDArray[np.uint8]
) -> NDArray[np.int32]:
    """v = x - sum c_k e_k; q = nearest(v + noise); e = q - v (Lipshitz and others 1991)."""
    out = np.zeros(block.shape, np.int32)
    top = 2 ** (bits - 1)
    for channel, sound in enumerate(block):
        errors = [0.0] * 9
        coefficients = [*feedback, *[0.0] * (9 - len(feedback))]
        for frame, value in enumerate(sound):
            if exact[frame]:
                output, errors = float(np.rint(value * top)), [0.0] * 9
            else:
                older = coefficients[8] * errors[8]
                for tap in range(7, 0, -1):
                    older = older + coefficients[tap] * errors[tap]
                newest = coefficients[0] * errors[0]
                aim = value * top - older
                output = float(np.rint(aim + triangular(starts[channel], frame) - newest))
                errors = [output - (aim - newest), *errors[:8]]
            out[channel, frame] = min(max(output, -top), top - 1)
    return out
