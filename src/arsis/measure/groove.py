"""What a lathe has trouble with: bass that moves the groove up and down, and sibilance.

The side signal (left − right) is cut vertically and the mid laterally (IEC 60098), so strong bass in the side
lifts the cutter and throws the stylus. Strong treble asks for more speed and curvature than cutter and stylus
follow. How much is too much is common practice, no source.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block
from arsis.dsp.filters import follow
from arsis.dsp.kernels.biquad import Sections, cascade, rest_state
from arsis.dsp.prototypes import high_pass, low_pass
from arsis.units import power_to_db

from .cuts import GridCuts
from .stereo import LevelMeter

STEPS_PER_SECOND = 10  # an s lasts about as long as a step
LOW_STEPS = 4  # about a bass note: 0.4 s; both are common practice, no source
ORDER = 4
_BUTTERWORTH_Q = 0.5**0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class GrooveFacts:
    """Levels of one song. A full-scale sine in both channels has -3.01 dBFS; times are from the song's start.

    low_width_db: side over mid below a frequency, over the whole song. widest_low_db, widest_low_at_s: the
    same of the 0.4 s where it is most, the mid counted as the song's mean at least. treble_dbfs: level from
    a frequency up; loudest_treble_dbfs, loudest_treble_at_s: of the 0.1 s where it is most. None where there
    is nothing.
    """

    seconds: float
    level_dbfs: float | None
    low_width_db: float | None
    widest_low_db: float | None
    widest_low_at_s: float | None
    treble_dbfs: float | None
    loudest_treble_dbfs: float | None
    loudest_treble_at_s: float | None


class GrooveMeter:
    """Hears one song, in blocks of any length."""

    def __init__(self, rate_hz: int, channels: int, low_below_hz: float, treble_from_hz: float) -> None:
        self._rate_hz, self._channels = rate_hz, channels
        self._low = follow(low_pass(low_below_hz, ORDER, _BUTTERWORTH_Q), rate_hz)
        self._low_state = rest_state(2, len(self._low))
        self._treble: Sections | None = None
        if treble_from_hz < 0.45 * rate_hz:
            self._treble = follow(high_pass(treble_from_hz, ORDER, _BUTTERWORTH_Q), rate_hz)
            self._treble_state = rest_state(channels, len(self._treble))
        self._whole = LevelMeter(channels)
        self._lows = LevelMeter(2, GridCuts(rate_hz, STEPS_PER_SECOND))
        self._trebles = LevelMeter(channels, GridCuts(rate_hz, STEPS_PER_SECOND))

    def add(self, block: Block) -> None:
        """Hears the next frames, shape (channels, frames)."""
        block = np.ascontiguousarray(block)
        self._whole.add(block)
        if self._channels == 2:
            both = 0.5 * np.stack([block[0] + block[1], block[0] - block[1]])
            self._lows.add(cascade(both, self._low, self._low_state))
        if self._treble is not None:
            self._trebles.add(cascade(block, self._treble, self._treble_state))

    def facts(self) -> GrooveFacts:
        """Of what has been heard."""
        whole = self._whole.levels()
        _, mid, side = self._lows.pieces()[:, :3].T
        width = _ratio_db(float(side.sum()), float(mid.sum()))
        widest = _widest(mid, side)
        treble = self._trebles.pieces()
        treble_frames, treble_power = treble[:, 0], treble[:, 1] + treble[:, 2]
        loudest = _loudest(treble_frames, treble_power, self._rate_hz)
        return GrooveFacts(
            seconds=whole.frames / self._rate_hz,
            level_dbfs=_finite(whole.rms_dbfs),
            low_width_db=width,
            widest_low_db=None if widest is None else widest[0],
            widest_low_at_s=None if widest is None else widest[1] / STEPS_PER_SECOND,
            treble_dbfs=_level(float(treble_power.sum()), float(treble_frames.sum())),
            loudest_treble_dbfs=None if loudest is None else loudest[0],
            loudest_treble_at_s=None if loudest is None else loudest[1] / STEPS_PER_SECOND,
        )


def _widest(mid: NDArray[np.float64], side: NDArray[np.float64]) -> tuple[float, int] | None:
    """Side over mid where it is most, and the first step of it; None where there is no side.

    Where the mid is under the song's mean, the mean counts: width of what is hardly there moves nothing.
    """
    window = np.ones(min(LOW_STEPS, mid.size))
    mids, sides = (np.convolve(powers, window, mode="valid") for powers in (mid, side))
    mids = np.maximum(mids, mids.mean())
    with np.errstate(invalid="ignore"):
        at = int(np.argmax(np.where(mids > 0.0, sides / mids, sides)))
    width_db = _ratio_db(float(sides[at]), float(mids[at]))
    return None if width_db is None else (width_db, at)


def _loudest(
    frames: NDArray[np.float64], power: NDArray[np.float64], rate_hz: int
) -> tuple[float, int] | None:
    """The level of the loudest step, and which it is. What is left at the end counts as a whole step."""
    length = np.maximum(frames, rate_hz / STEPS_PER_SECOND)
    at = int(np.argmax(power / length))
    level = _level(float(power[at]), float(length[at]))
    return None if level is None else (level, at)


def _level(square: float, frames: float) -> float | None:
    return power_to_db(square / (2.0 * frames)) if square > 0.0 and frames > 0.0 else None


def _ratio_db(side: float, mid: float) -> float | None:
    """None without any side; a mid of nothing counts as one 200 dB down, so that a figure is left."""
    return power_to_db(side / max(mid, 1e-20 * side)) if side > 0.0 else None


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None
