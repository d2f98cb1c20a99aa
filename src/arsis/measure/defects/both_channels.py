"""What the two channels have to do with each other, and where the spectrum ends."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block
from arsis.dsp.stft import FrameStream
from arsis.dsp.transform import spectra
from arsis.dsp.windows import hann
from arsis.measure.series import Series
from arsis.measure.spectrum import BANDS_HZ
from arsis.units import power_to_db

FRAME_S = 0.15
TOGETHER = 8  # frames that are transformed at once
WILD = 1e9  # no sound: its square still has room in float32
# A band this far under the whole has no say about what folding down does to it.
LEAST_BAND_DB = -30.0

# An edge is looked for above LOWEST_EDGE_HZ: what the bins below it hold between partials, over a stretch of
# 1.2 kHz, against the loudest that is left from 300 Hz above it on.
BETWEEN_PARTIALS = 0.2
LOWEST_EDGE_HZ, STEP_HZ = 8_000.0, 50.0
BELOW_HZ, ABOVE_HZ = (-1_500.0, -300.0), 300.0
SMOOTH_HZ = 150.0
# Stretches of so many frames are judged by themselves as well.
STRETCH_FRAMES, OPPOSED = 16, -0.5
# A bin under this holds rounding and dither, not music; dB re full scale 1.0 mean square.
LEAST_SOUND_DB = -125.0


@dataclass(frozen=True, slots=True)
class Edge:
    """Where a spectrum stops: the frequency, and by how much within a few hundred Hz."""

    freq_hz: float
    drop_db: float


@dataclass(frozen=True, slots=True)
class ChannelFacts:
    """Of both channels; all None of one.

    balance_db: left over right. correlation: from -1 to 1, over the band from 20 Hz to 20 kHz. fold_db: by
    band, what a fold to mono leaves of its power: 0 where the two are alike, -3 where they have nothing in
    common; None where a band holds next to nothing. side_db: sides over middle, -inf where there are none.
    opposed_share: of all stretches of 1.5 s or so, those whose correlation is under -0.5.
    """

    balance_db: float | None
    correlation: float | None
    fold_db: dict[str, float | None] | None
    side_db: float | None
    opposed_share: float = 0.0


def _side_db(mid: float, side: float) -> float:
    """Of two channels alike the sides are what rounding leaves of them."""
    if mid <= 0.0:
        return np.inf
    return power_to_db(side / mid) if side > 1e-12 * mid else -np.inf


class ChannelMeter:
    """Powers of both channels and what they share, bin by bin (Welch's method, Hann window), to 1e-6."""

    def __init__(self, rate_hz: int, channels: int) -> None:
        self._length = 1 << (int(rate_hz * FRAME_S) - 1).bit_length()
        self._rate_hz, self._bin_hz = rate_hz, rate_hz / self._length
        self._window = hann(self._length)
        self._frames = FrameStream(channels, self._length, self._length // 2)
        self._waiting: list[Block] = []
        bins = self._length // 2
        self._powers = np.zeros((channels, bins))
        self._shared = np.zeros(bins)
        self._heard = self._bins(20.0, 20_000.0)
        self._sums = Series(np.empty((0, 3)))  # of each frame: left, right, shared
        self._count = 0

    def add(self, block: Block) -> None:
        """Hears the next frames."""
        for frame in self._frames.add(block):
            self._waiting.append(frame.samples)
            if len(self._waiting) == TOGETHER:
                self._settle()

    def _settle(self) -> None:
        """Takes what waits."""
        if not self._waiting:
            return
        frames = np.array(self._waiting, np.float32).clip(-WILD, WILD)
        self._waiting = []
        flat = spectra(frames.reshape(-1, self._length), self._window.astype(np.float32), self._length)
        bins = flat.reshape(*frames.shape[:2], -1)
        powers = bins.real**2 + bins.imag**2
        self._powers += powers.sum(axis=0, dtype=np.float64)
        self._count += len(frames)
        if frames.shape[1] == 2:
            a, b = bins[:, 0], bins[:, 1]
            shared = a.real * b.real + a.imag * b.imag
            self._shared += shared.sum(axis=0, dtype=np.float64)
            all_three = np.concatenate([powers, shared[:, np.newaxis]], axis=1)
            self._sums.append(all_three[:, :, self._heard].sum(axis=2, dtype=np.float64))

    def _scaled(self, power: NDArray[np.float64]) -> NDArray[np.float64]:
        return power * (2.0 / (self._length * float(np.sum(self._window**2)) * max(self._count, 1)))

    def facts(self) -> ChannelFacts:
        """Of all whole frames so far."""
        self._settle()
        if len(self._powers) == 1:
            return ChannelFacts(None, None, None, None)
        (left, right), shared = self._powers, self._shared
        a, b, c = (float(np.sum(x[self._heard])) for x in (left, right, shared))
        if a + b <= 0.0:
            return ChannelFacts(None, None, None, None)
        mid, side = max(a + b + 2.0 * c, 0.0), max(a + b - 2.0 * c, 0.0)
        return ChannelFacts(
            balance_db=power_to_db(a) - power_to_db(b) if a > 0.0 and b > 0.0 else np.inf * (1 if a else -1),
            correlation=c / (a * b) ** 0.5 if a > 0.0 and b > 0.0 else None,
            fold_db={name: self._fold_db(name, a + b) for name in BANDS_HZ},
            side_db=_side_db(mid, side),
            opposed_share=self._opposed_share(),
        )

    def _opposed_share(self) -> float:
        """Of the stretches that are not far softer than the loudest."""
        whole = self._count // STRETCH_FRAMES
        sums = self._sums.whole()[: whole * STRETCH_FRAMES]
        left, right, shared = sums.reshape(whole, STRETCH_FRAMES, 3).sum(axis=1).T
        power = left + right
        sounding = (power > 1e-3 * power.max(initial=0.0)) & (left * right > 0.0)
        if not sounding.any():
            return 0.0
        correlation = shared[sounding] / np.sqrt(left[sounding] * right[sounding])
        return float(np.mean(correlation < OPPOSED))

    def _fold_db(self, band: str, whole: float) -> float | None:
        part = self._bins(*BANDS_HZ[band])
        own = float(np.sum(self._powers[:, part]))
        if own <= 0.0 or power_to_db(own / whole) < LEAST_BAND_DB:
            return None
        folded = own + 2.0 * float(np.sum(self._shared[part]))
        return power_to_db(max(folded, 0.0) / (2.0 * own))

    def _bins(self, low_hz: float, high_hz: float) -> slice:
        return slice(round(low_hz / self._bin_hz), round(high_hz / self._bin_hz))

    def edge(self) -> Edge | None:
        """The steepest place above which nothing is left; None where no such place is."""
        self._settle()
        power = self._scaled(self._powers.sum(axis=0))
        level = 10.0 * np.log10(np.maximum(power, 1e-20))
        width = max(1, round(SMOOTH_HZ / self._bin_hz))
        smooth = 10.0 * np.log10(np.maximum(np.convolve(power, np.ones(width) / width, "same"), 1e-20))
        top = int(0.995 * level.size)
        left = np.maximum.accumulate(smooth[:top][::-1])[::-1]  # the loudest from each bin on
        above, near, far = (round(x / self._bin_hz) for x in (ABOVE_HZ, -BELOW_HZ[1], -BELOW_HZ[0]))
        step = max(1, round(STEP_HZ / self._bin_hz))
        best: Edge | None = None
        for at in range(max(far, round(LOWEST_EDGE_HZ / self._bin_hz)), top - above, step):
            below = float(np.quantile(level[at - far : at - near], BETWEEN_PARTIALS))
            drop = below - float(left[at + above])
            if below >= LEAST_SOUND_DB and drop > (0.0 if best is None else best.drop_db):
                best = Edge(at * self._bin_hz, drop)
        return best
