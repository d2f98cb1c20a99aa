"""What an analogue chain does to a mix that is played through it and recorded again."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from arsis.units import db_to_gain

from .arrange import seeded
from .mixdown import FULL_SCALE
from .tone import Curve, coloured

DELAY_FRAMES = 137
GAIN_DB = -0.8
_CURVE: Curve = ((12, -9), (22, -1), (40, 0.3), (90, 0.6), (250, 0.1), (3000, 0), (12000, 0.5), (20000, -0.6))
_THIRD = 0.03  # third-order bend of the transfer curve: about 0.2 dB less at -3 dBFS
_NOISE_DBFS = -92.0


def printed_elsewhere(words: NDArray[np.int32], rate_hz: int) -> NDArray[np.int32]:
    """A mix back from the chain: a little weight and air, rounder peaks, later and softer, with its noise.

    words: 24-bit, shape (channels, frames); the result is `DELAY_FRAMES` longer.
    """
    late = np.pad(words / FULL_SCALE, ((0, 0), (DELAY_FRAMES, 0)))
    hiss = db_to_gain(_NOISE_DBFS) * seeded("outboard", "noise").standard_normal(late.shape)
    through = np.stack([coloured(channel, rate_hz, _CURVE) for channel in late - _THIRD * late**3])
    return np.rint(FULL_SCALE * (db_to_gain(GAIN_DB) * through + hiss)).astype(np.int32)
