"""Loudness and loudness range: ITU-R BS.1770-5, EBU Tech 3341 and Tech 3342.

Everything is computed from one array: the K-weighted power of every 10 ms.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from arsis.audio import Block
from arsis.dsp.kernels.loudness import STATE_SIZE, kweighted_energy
from arsis.dsp.weighting import k_weighting
from arsis.errors import ArsisError
from arsis.units import power_to_db

from .cuts import GridCuts
from .series import Series

Powers = NDArray[np.float64]

HOPS_PER_SECOND = 100
MOMENTARY_HOPS = 40  # 400 ms, Tech 3341 (2023), 2.2
SHORT_TERM_HOPS = 300  # 3 s, Tech 3341, 2.2
BLOCK_STEP_HOPS = 10  # gating blocks overlap by 75 %, BS.1770-5, Annex 1, eq. 3
OFFSET_LU = -0.691  # BS.1770-5, Annex 1, eq. 2
ABSOLUTE_GATE_LUFS = -70.0  # BS.1770-5, Annex 1, eq. 5; Tech 3342 (2023), 3
RELATIVE_GATE_LU = -10.0  # BS.1770-5, Annex 1, eq. 6
RANGE_GATE_LU = -20.0  # Tech 3342, 3
RANGE_PERCENTILES = (10, 95)  # Tech 3342, 3


class LoudnessMeter:
    """K-weighted power of every step of a stream; blocks of any length.

    Channels are weighted 1.0, as left, right and centre are (BS.1770-5, Table 3). A mono file is one
    channel, as the standard counts it: 3.01 LU below the same file in two channels. weighting: another one
    than K, (2, 5), rows b0 b1 b2 a1 a2.
    """

    def __init__(
        self,
        rate_hz: int,
        channels: int,
        hops_per_second: int = HOPS_PER_SECOND,
        weighting: Block | None = None,
    ) -> None:
        if channels not in (1, 2):
            raise ArsisError(f"cannot meter {channels} channels: arsis takes mono and stereo")
        self._coefficients = k_weighting(rate_hz) if weighting is None else weighting
        self._scale = hops_per_second / rate_hz
        self._cuts = GridCuts(rate_hz, hops_per_second)
        self._channels = channels
        self._state = np.zeros(STATE_SIZE)
        self._position = 0
        self._powers = Series(np.empty(0))

    def add(self, block: Block) -> None:
        """Hears the next frames."""
        end = self._position + block.shape[1]
        ends = self._cuts.take(self._position, end)
        sums = np.empty((ends.size, 2))
        kweighted_energy(block, ends, self._coefficients, self._state, sums)
        self._position = end
        self._powers.append(sums[:, : self._channels].sum(axis=1) * self._scale)

    def energies(self) -> Powers:
        """Power of every complete step so far: mean square per channel, summed over the channels."""
        return self._powers.whole()


def lufs(power: float) -> float:
    """Loudness of a K-weighted power; BS.1770-5, Annex 1, eq. 2."""
    return OFFSET_LU + power_to_db(power)


def coarser(energies: Powers, times: int) -> Powers:
    """The same for steps `times` as long; what is left over at the end is dropped."""
    whole = energies.size // times * times
    return np.asarray(energies[:whole].reshape(-1, times).mean(axis=1))


def _window_powers(energies: Powers, hops: int, step: int) -> Powers:
    """Mean power of windows wholly inside the stretch, one every `step` hops."""
    if energies.size < hops:
        return np.empty(0)
    return np.asarray(sliding_window_view(energies, hops)[::step].mean(axis=1))


def _many_lufs(powers: Powers) -> Powers:
    with np.errstate(divide="ignore"):
        return np.asarray(OFFSET_LU + 10.0 * np.log10(powers))


def momentary_lufs(energies: Powers) -> Powers:
    """Loudness of every 400 ms, a value each 10 ms: value k covers hops [k, k + 40)."""
    return _many_lufs(_window_powers(energies, MOMENTARY_HOPS, 1))


def short_term_lufs(energies: Powers, step: int = BLOCK_STEP_HOPS) -> Powers:
    """Loudness of every 3 s, a value each 100 ms: value k covers hops [10 k, 10 k + 300)."""
    return _many_lufs(_window_powers(energies, SHORT_TERM_HOPS, step))


def highest(values: Powers) -> float:
    """The largest, or minus infinity where there is none."""
    return float(values.max()) if values.size else -math.inf


def integrated_lufs(energies: Powers) -> float:
    """Gated loudness of the whole (BS.1770-5, Annex 1, eq. 3 to 7); minus infinity when nothing passes."""
    return gated_lufs(gating_blocks(energies))


def gating_blocks(energies: Powers) -> Powers:
    """Power of every 400 ms that the gates look at, one every 100 ms (BS.1770-5, Annex 1, eq. 3)."""
    return _window_powers(energies, MOMENTARY_HOPS, BLOCK_STEP_HOPS)


def gated_lufs(blocks: Powers) -> float:
    """Loudness of gating blocks, of one sound or of several together (BS.1770-5, Annex 1, eq. 4 to 7)."""
    loudness = _many_lufs(blocks)
    above = blocks[loudness > ABSOLUTE_GATE_LUFS]
    if not above.size:
        return -math.inf
    gate = max(ABSOLUTE_GATE_LUFS, lufs(float(above.mean())) + RELATIVE_GATE_LU)
    return lufs(float(blocks[loudness > gate].mean()))


def range_lu(energies: Powers) -> float | None:
    """Loudness range (Tech 3342, 3) over the windows wholly inside; None when nothing passes the gate."""
    powers = _window_powers(energies, SHORT_TERM_HOPS, BLOCK_STEP_HOPS)
    loudness = _many_lufs(powers)
    above = loudness >= ABSOLUTE_GATE_LUFS
    if not above.any():
        return None
    gate = max(ABSOLUTE_GATE_LUFS, lufs(float(powers[above].mean())) + RANGE_GATE_LU)
    passed = np.sort(loudness[loudness >= gate])
    low, high = (passed[math.floor((passed.size - 1) * p / 100 + 0.5)] for p in RANGE_PERCENTILES)
    return float(high - low)


def section_lufs(energies: Powers, start_hop: int, end_hop: int) -> float:
    """Ungated loudness of hops [start_hop, end_hop); minus infinity when there are none."""
    part = energies[start_hop:end_hop]
    return lufs(float(part.mean())) if part.size else -math.inf
