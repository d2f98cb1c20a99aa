"""Rate conversion: libsoxr at its very high quality (28-bit precision), in float64, as a stream."""

from __future__ import annotations

import numpy as np
import soxr

from arsis.audio import Block


def resampled_frames(frames: int, from_hz: int, to_hz: int) -> int:
    """How long `frames` become: frames * to / from to the nearest frame, halves upwards."""
    return (2 * frames * to_hz + from_hz) // (2 * from_hz)


class Resampler:
    """Changes the rate of a stream of blocks. The result lines up with the source at its first frame.

    Blocks come back when they are ready, so one may be shorter or longer than the rate asks; all of them
    together are `resampled_frames` long, and the same bits however the source was cut into blocks.
    """

    def __init__(self, from_hz: int, to_hz: int, channels: int) -> None:
        self._channels = channels
        self._stream = (
            soxr.ResampleStream(from_hz, to_hz, channels, dtype="float64", quality="VHQ")
            if from_hz != to_hz
            else None
        )

    def process(self, block: Block, last: bool = False) -> Block:
        """The next part of the result; with `last`, all that is left of it."""
        if self._stream is None:
            return block
        out = self._stream.resample_chunk(np.ascontiguousarray(block.T), last=last)
        return np.ascontiguousarray(out.reshape(-1, self._channels).T)
