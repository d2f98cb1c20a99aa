"""The one shape of sound inside arsis, and what a stretch of it is called.

Sound is float64, shape (channels, frames), C order, full scale = 1.0.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Block = NDArray[np.float64]

# Two channels of this many float64 frames fill half of a common second-level cache: fused work on
# such blocks costs no trip to main memory, and the overhead of a call is spread thinly enough.
BLOCK_FRAMES = 16_384


@dataclass(frozen=True, slots=True)
class Span:
    """Frames [start, end) of a song."""

    start: int
    end: int

    @property
    def frames(self) -> int:
        return self.end - self.start

    def clip(self, start: int, end: int) -> Span:
        """The part inside [start, end); empty at the nearer edge when there is none."""
        low = min(max(self.start, start), end)
        return Span(low, max(low, min(self.end, end)))


def silence(channels: int, frames: int) -> Block:
    """`frames` of zeros."""
    return np.zeros((channels, frames))
