"""What a codec check hears of a sound: loudness, bands and true peaks, whole and section by section."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block, Span
from arsis.measure.cuts import GridCuts
from arsis.measure.loudness import HOPS_PER_SECOND, LoudnessMeter, integrated_lufs, section_lufs
from arsis.measure.peaks import TruePeakMeter
from arsis.measure.spectrum import BANDS_HZ, Spectrum, SpectrumMeter
from arsis.units import power_to_db, seconds_to_frames

PEAKS_PER_SECOND = 100
# Peaks nearer to each other than this are one stretch: about the length of a drum's attack, and more than
# what any of the coders takes as one block.
APART_S = 0.05


@dataclass(frozen=True, slots=True)
class NamedSpan:
    """A section of the file that is checked, in its own time."""

    name: str
    start_s: float
    end_s: float


class CodecEar:
    """Blocks of any length, in order; everything may be asked at the end."""

    def __init__(self, rate_hz: int, channels: int, sections: Sequence[NamedSpan]) -> None:
        self.rate_hz = rate_hz
        self.frames = 0
        self._sections = tuple(sections)
        spans = [Span(*(seconds_to_frames(at, rate_hz) for at in (s.start_s, s.end_s))) for s in sections]
        self._loudness = LoudnessMeter(rate_hz, channels)
        self._peaks = TruePeakMeter(channels, GridCuts(rate_hz, PEAKS_PER_SECOND))
        self._spectrum = SpectrumMeter(rate_hz, channels, [Span(0, 1 << 62), *spans])

    def hear(self, block: Block) -> None:
        """The next frames."""
        self.frames += block.shape[1]
        self._loudness.add(block)
        self._peaks.add(block)
        self._spectrum.add(block)

    def heard(self) -> Heard:
        """All of it."""
        whole, *sections = self._spectrum.spectra()
        energies = self._loudness.energies()
        hops = [tuple(round(at * HOPS_PER_SECOND) for at in (s.start_s, s.end_s)) for s in self._sections]
        return Heard(
            peaks=self._peaks.peaks(),
            integrated_lufs=integrated_lufs(energies),
            section_lufs=tuple(section_lufs(energies, start, end) for start, end in hops),
            spectrum=whole,
            section_spectra=tuple(sections),
        )


@dataclass(frozen=True)
class Heard:
    """peaks: the true peak of every 10 ms, full scale 1.0. Levels that do not exist are -inf."""

    peaks: NDArray[np.float64]
    integrated_lufs: float
    section_lufs: tuple[float, ...]
    spectrum: Spectrum
    section_spectra: tuple[Spectrum, ...]


@dataclass(frozen=True, slots=True)
class BandChanges:
    """Change of the level of each of the five bands, in dB; None where the source has nothing there."""

    low: float | None
    low_mid: float | None
    mid: float | None
    presence: float | None
    air: float | None


def band_changes(before: Spectrum, after: Spectrum) -> BandChanges:
    """What became of the bands."""
    edges = list(BANDS_HZ.values())
    pairs = zip(before.band_powers(edges), after.band_powers(edges), strict=True)
    return BandChanges(*(_change_db(float(a), float(b)) for a, b in pairs))


def _change_db(before: float, after: float) -> float | None:
    return power_to_db(after / before) if before > 0.0 and after > 0.0 else None


# Where a coder's low-pass cuts: all that the source has above lies lower by this after it.
_CUT_POWER = 0.1  # 10 dB
_CELL_HZ = 250.0
_LOWEST_CUT_HZ = 2000.0
_LEAST_SHARE = 1e-10  # of the source's power in a cell: under that there is only the floor of its word


def cut_above_hz(before: Spectrum, after: Spectrum) -> float | None:
    """The frequency above which the coder has taken what the source had; None where it took nothing so.

    Judged in cells of 250 Hz, by 10 dB or more in each of them to the top.
    """
    top_hz = min(s.bin_hz * (s.power.size - 1) for s in (before, after))
    lows = np.arange(_LOWEST_CUT_HZ, top_hz - _CELL_HZ, _CELL_HZ)
    cells = np.stack([lows, lows + _CELL_HZ], axis=1)
    source, left = before.band_powers(cells), after.band_powers(cells)
    is_there = source > _LEAST_SHARE * before.power.sum()
    is_kept = is_there & (left >= _CUT_POWER * source)
    first = int(np.flatnonzero(is_kept)[-1]) + 1 if is_kept.any() else 0
    return float(lows[first]) if is_there[first:].any() else None


def stretches(peaks: NDArray[np.float64], limit: float) -> list[tuple[int, int]]:
    """The stretches of 10 ms steps, [start, end), whose true peak is over `limit`."""
    over = np.flatnonzero(peaks > limit)
    if not over.size:
        return []
    apart = np.flatnonzero(np.diff(over) > round(APART_S * PEAKS_PER_SECOND))
    starts, ends = over[np.concatenate([[0], apart + 1])], over[np.concatenate([apart, [over.size - 1]])]
    return [(int(start), int(end) + 1) for start, end in zip(starts, ends, strict=True)]
