"""What is kept of a sound that was heard from end to end."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block
from arsis.measure.cuts import GridCuts
from arsis.measure.stereo import LevelMeter
from arsis.measure.summary import PEAKS_PER_SECOND, Meters
from arsis.render.contour import Contour

from .peaks import PeakMeter
from .store import Chunk, chunk_of

Keep = Callable[[int, Chunk], None]


@dataclass(frozen=True, slots=True)
class Measured:
    """A whole sound by its meters. A level that does not exist is -inf.

    energies: K-weighted power of every 10 ms. true_peaks: of every tenth of a second, as a magnitude.
    relations: squares of left and right and their product over every tenth, (tenths, 3). took_db: the most
    that the limiter took in every 20 ms, or none. peaks: see `peaks`. sha256: of every chunk.
    """

    channels: int
    integrated_lufs: float
    true_peak_dbtp: float
    energies: NDArray[np.float64]
    true_peaks: NDArray[np.float64]
    relations: NDArray[np.float64]
    took_db: NDArray[np.float64]
    peaks: bytes
    sha256: tuple[str, ...]


class Ear:
    """Hears a whole sound: its chunks, its outline, and its meters unless others have them.

    keep: gets each chunk as it is complete.
    """

    def __init__(self, rate_hz: int, channels: int, keep: Keep, *, meters: bool = True) -> None:
        self._rate_hz, self._channels, self._keep = rate_hz, channels, keep
        self._peaks = PeakMeter(rate_hz, channels)
        self._levels = LevelMeter(channels, GridCuts(rate_hz, PEAKS_PER_SECOND))
        self._meters = Meters(rate_hz, channels) if meters else None
        self._filling: list[NDArray[np.float32]] = []
        self._filled = 0
        self._sha256: list[str] = []

    def hear(self, sound: Block) -> None:
        """The next frames, exactly as they are printed."""
        self._peaks.add(sound)
        self._levels.add(sound)
        if self._meters is not None:
            self._meters.add(sound)
        self._fill(sound.astype(np.float32))

    def measured(self) -> Measured:
        """All of it, once the sound has ended."""
        assert self._meters is not None
        facts = self._meters.facts()
        return self._measured(
            facts.integrated_lufs,
            facts.true_peak_dbtp,
            self._meters.energies(),
            self._meters.true_peaks(),
            np.empty(0),
        )

    def measured_in(self, shape: Contour) -> Measured:
        """The same of a print whose meters the contour has."""
        facts = shape.print
        return self._measured(
            facts.integrated_lufs,
            facts.true_peak_dbtp,
            shape.print_energies,
            shape.print_true_peaks,
            shape.took_db,
        )

    def _measured(
        self,
        integrated_lufs: float,
        true_peak_dbtp: float,
        energies: NDArray[np.float64],
        true_peaks: NDArray[np.float64],
        took_db: NDArray[np.float64],
    ) -> Measured:
        if self._filled:
            self._give(np.concatenate(self._filling, axis=1))
            self._filling, self._filled = [], 0
        relations = self._levels.pieces()[:, 1:4]
        return Measured(
            self._channels,
            integrated_lufs,
            true_peak_dbtp,
            energies,
            true_peaks,
            relations,
            took_db,
            self._peaks.data(),
            tuple(self._sha256),
        )

    def _fill(self, sound: NDArray[np.float32]) -> None:
        """A chunk is one second."""
        self._filling.append(sound)
        self._filled += sound.shape[1]
        if self._filled < self._rate_hz:
            return
        whole = np.concatenate(self._filling, axis=1)
        for start in range(0, self._filled - self._rate_hz + 1, self._rate_hz):
            self._give(whole[:, start : start + self._rate_hz])
        rest = whole[:, self._filled // self._rate_hz * self._rate_hz :]
        self._filling, self._filled = ([rest], rest.shape[1])

    def _give(self, sound: NDArray[np.float32]) -> None:
        chunk = chunk_of(sound, exact=True)
        self._keep(len(self._sha256), chunk)
        self._sha256.append(chunk.sha256)
