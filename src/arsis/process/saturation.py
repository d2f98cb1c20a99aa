"""Saturator: a smooth curve, unity for small signals, with its aliasing held down.

f(x) = x / √(1 + k x²) with k = 10^(drive/10) − 1: a full-scale peak comes down by the drive, and no
drive is no curve. `even` reads the curve around a bias of at most 1/(2√(1 + k)): for much drive that is
where the curve bends most, and for little drive even harmonics vanish as fast as odd ones do. The curve is
our own choice (no source), for its antiderivative: see dsp/kernels/saturate.c.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block, silence
from arsis.dsp.kernels import saturate
from arsis.dsp.windows import kaiser_at
from arsis.settings import Saturator

from .base import Runner, comes_to_nothing, prepare
from .detector import Filter

# The curve works at four times the rate of a 44.1 or 48 kHz mix, and no slower at any other.
_WORKING_HZ = 176_000
# Half-band filters, one-sided taps: the first ends at the edge of hearing, so at 44.1 kHz it is steep
# (−0.01 dB at 19.4 kHz); the others have an octave for it.
_STEEP, _GENTLE = 32, 8
_KAISER_BETA = 10.06  # 100 dB: 0.1102 (A − 8.7), Kaiser (1974), as in Oppenheim and Schafer, section 7.5.3
_BLOCKER_HZ = 5.0


class SaturatorRunner:
    """The signal, late by `latency`, plus what the curve adds; without constant offset."""

    def __init__(self, settings: Saturator, rate_hz: int, channels: int) -> None:
        self._shape = curve_shape(settings)
        reaches = stage_reaches(rate_hz)
        self._reaches = np.array(reaches, dtype=np.int64)
        self._taps = np.array([half_band(taps) for taps in reaches], dtype=np.float32).reshape(
            -1, saturate.MOST_TAPS
        )
        self.latency = saturate.reach(self._reaches)
        self._held = silence(channels, 2 * self.latency)
        self._blocker = Filter(offset_blocker(rate_hz), channels) if settings.even else None

    def process(self, block: Block) -> Block:
        return self.process_with_gain(block)[0]

    def process_with_gain(self, block: Block) -> tuple[Block, Block]:
        """The saturated block, and what decides the curve's gain: the signal itself with its margins."""
        wide = self._wide(block)
        return self._with(saturate.added(wide, self._shape, self._taps, self._reaches), wide), wide

    def apply_gain(self, block: Block, gain: Block) -> Block:
        """This block with the gain that the curve has for another signal, frame by frame."""
        wide = self._wide(block)
        added = saturate.added_like(wide, gain, self._shape, self._taps, self._reaches)
        return self._with(added, wide)

    def _wide(self, block: Block) -> Block:
        wide = np.concatenate([self._held, block], axis=1)
        self._held = wide[:, block.shape[1] :].copy()
        return wide

    def _with(self, added: Block, wide: Block) -> Block:
        frames = added.shape[1]
        if self._blocker:
            added = self._blocker.process(added)
        added += wide[:, self.latency : self.latency + frames]
        return added


def curve_shape(settings: Saturator) -> NDArray[np.float64]:
    """k, bias and √(1 + k bias²)."""
    k = math.pow(10.0, settings.drive_db / 10.0) - 1.0
    bias = settings.even / (2.0 * math.sqrt(1.0 + k))
    return np.array([k, bias, math.sqrt(1.0 + k * bias * bias)])


def stage_reaches(rate_hz: int) -> list[int]:
    """One-sided taps of each doubling of the rate, the slowest first."""
    doublings = sum(rate_hz * factor < _WORKING_HZ for factor in (1, 2))
    return ([_STEEP] if rate_hz < 60_000 else [_GENTLE])[:doublings] + [_GENTLE] * max(0, doublings - 1)


def half_band(taps: int) -> NDArray[np.float64]:
    """One side of a windowed-sinc half-band filter, outermost first, padded with zeros at the end.

    The taps of both sides sum to one, so that a constant passes exactly.
    """
    places = np.arange(taps - 0.5, 0.0, -1.0)
    side = np.sinc(places) * kaiser_at(places, taps, _KAISER_BETA)
    return np.pad(0.5 * side / side.sum(), (0, saturate.MOST_TAPS - taps))


def offset_blocker(rate_hz: int) -> NDArray[np.float64]:
    """First-order high-pass at 5 Hz by the bilinear transform, for what the curve adds."""
    k = math.tan(math.pi * _BLOCKER_HZ / rate_hz)
    scale = 1.0 / (1.0 + k)
    return np.array([[scale, -scale, 0.0, (k - 1.0) * scale, 0.0]])


@prepare.register
def _(settings: Saturator, rate_hz: int, channels: int) -> Runner:
    return SaturatorRunner(settings, rate_hz, channels)


@comes_to_nothing.register
def _(settings: Saturator) -> bool:
    return settings.drive_db == 0.0
