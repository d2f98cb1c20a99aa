"""Compressor and dynamic bell from their formulas, one sample after another, with libm."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from scipy.signal import sosfilt

from arsis.audio import Block
from arsis.dsp.filters import follow
from arsis.dsp.prototypes import bell
from arsis.settings import Compressor, DynamicBell

Gains = NDArray[np.float64]


def curve_db(level_db: float, threshold_db: float, ratio: float, knee_db: float) -> float:
    """Giannoulis, Massberg, Reiss, JAES 60(6) (2012), eq. (4): level out for level in."""
    above = level_db - threshold_db
    if 2 * abs(above) <= knee_db and knee_db > 0:
        return level_db + (1 / ratio - 1) * (above + knee_db / 2) ** 2 / (2 * knee_db)
    return level_db if above <= 0 else threshold_db + above / ratio


def smoothed(
    wanted_db: NDArray[np.float64], attack_ms: float, release_ms: float, rate_hz: int
) -> NDArray[np.float64]:
    """Smooth branching detector, eq. (16) of the same (number from memory)."""
    attack, release = (math.exp(-1000 / (time_ms * rate_hz)) for time_ms in (attack_ms, release_ms))
    held, out = 0.0, np.empty_like(wanted_db)
    for i, wanted in enumerate(wanted_db):
        kept = attack if wanted > held else release
        held = kept * held + (1 - kept) * wanted
        out[i] = held
    return out


def levels_db(heard: Block) -> NDArray[np.float64]:
    """The loudest channel, in dB of full scale."""
    return 20 * np.log10(np.maximum(np.abs(heard).max(axis=0), 1e-300))


def compressor_gain(heard: Block, settings: Compressor, rate_hz: int) -> Gains:
    """What a compressor makes of what its side chain hears."""
    wanted = np.array(
        [v - curve_db(v, settings.threshold_dbfs, settings.ratio, settings.knee_db) for v in levels_db(heard)]
    )
    held = smoothed(wanted, settings.attack_ms, settings.release_ms, rate_hz)
    return 10 ** ((settings.makeup_db - held) / 20)


def dynamic_bell(block: Block, settings: DynamicBell, rate_hz: int) -> Block:
    """x + (G − 1) B x, with B the band of the bell moved all the way."""
    rows = follow(bell(settings.freq_hz, settings.range_db, settings.q), rate_hz)
    sos = np.insert(rows, 3, 1.0, axis=1)
    band = (sosfilt(sos, block) - block) / (10 ** (settings.range_db / 20) - 1)
    above = np.maximum(levels_db(band) - settings.threshold_dbfs, 0.0)
    wanted = np.minimum((1 - 1 / settings.ratio) * above, abs(settings.range_db))
    held = smoothed(wanted, settings.attack_ms, settings.release_ms, rate_hz)
    return block + (10 ** (np.sign(settings.range_db) * held / 20) - 1) * band
