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
        self._streams = [  # one a channel: no block has to be interleaved and taken apart again
            soxr.ResampleStream(from_hz, to_hz, 1, dtype="float64", quality="VHQ") for _ in range(channels)
        ]
        self._is_same = from_hz == to_hz

    def process(self, block: Block, last: bool = False) -> Block:
        """The next part of the result; with `last`, all that is left of it."""
        if self._is_same:
            return block
        return np.stack(
            [stream.resample_chunk(row, last) for stream, row in zip(self._streams, block, strict=True)]
        )
