"""The curves of an analogue bell and shelf, s = j f / f0; A is the square root of the gain."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
SHELF_Q = 0.5**0.5


def bell_db(at_hz: Floats, freq_hz: float, gain_db: float, q: float = 1.0) -> Floats:
    """|s² + s A/Q + 1|² over |s² + s/(A Q) + 1|²."""
    width, place = 10.0 ** (gain_db / 40.0), at_hz / freq_hz
    over = (1.0 - place**2) ** 2
    return np.asarray(
        10.0 * np.log10((over + (place * width / q) ** 2) / (over + (place / (width * q)) ** 2))
    )


def low_shelf_db(at_hz: Floats, freq_hz: float, gain_db: float) -> Floats:
    """A² |s² + s √A/Q + A|² over |A s² + s √A/Q + 1|²."""
    gain, place = 10.0 ** (gain_db / 40.0), (at_hz / freq_hz) ** 2
    slope = gain * place / SHELF_Q**2
    return np.asarray(
        10.0 * np.log10(gain**2 * ((gain - place) ** 2 + slope) / ((1.0 - gain * place) ** 2 + slope))
    )
