"""Everything that is said of a sound, whole or section by section, from one pass over it."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block, Span
from arsis.units import gain_to_db

from . import attack, loudness
from .cuts import GivenCuts, GridCuts
from .dynamics import crest_db, plr_db, psr_min_db
from .loudness import Powers
from .peaks import TruePeakMeter
from .spectrum import BandLevels, Spectrum, SpectrumMeter
from .stereo import LevelMeter, levels_of

PEAKS_PER_SECOND = 10


@dataclass(frozen=True, slots=True)
class SoundFacts:
    """The standard meters of a whole sound. A level that does not exist is -inf, a relation None.

    range_lu: None for silence and what is shorter than 3 s. dc_offset: of each channel, full scale 1.0.
    """

    integrated_lufs: float
    range_lu: float | None
    max_momentary_lufs: float
    max_short_term_lufs: float
    true_peak_dbtp: float
    sample_peak_dbfs: float
    plr_db: float | None
    psr_min_db: float | None
    correlation: float | None
    dc_offset: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class SectionFacts:
    """What the contour says of one section. A level that does not exist is -inf, a relation None.

    loudness_lufs is ungated; max_short_term_lufs is over the 3 s windows wholly inside the section.
    third_octave_db: the 31 bands of `spectrum.THIRD_OCTAVES`, dB re full scale 1.0 mean square.
    density_per_s: onsets of the sound itself. voice_db: an estimate, see `voice`.
    """

    loudness_lufs: float
    max_short_term_lufs: float
    true_peak_dbtp: float
    crest_db: float | None
    attack_db: float | None
    width_db: float
    correlation: float | None
    bands_db: BandLevels
    third_octave_db: tuple[float, ...]
    density_per_s: float
    voice_db: float | None


class Meters:
    """All that `arsis measure` prints. Blocks of any length, in order; `facts` may be asked at any time."""

    def __init__(self, rate_hz: int, channels: int) -> None:
        self._loudness = loudness.LoudnessMeter(rate_hz, channels)
        self._peaks = TruePeakMeter(channels, GridCuts(rate_hz, PEAKS_PER_SECOND))
        self._levels = LevelMeter(channels)

    def add(self, block: Block) -> None:
        """Hears the next frames."""
        self._loudness.add(block)
        self._peaks.add(block)
        self._levels.add(block)

    def energies(self) -> loudness.Powers:
        """K-weighted power of every 10 ms so far."""
        return self._loudness.energies()

    def true_peaks(self) -> NDArray[np.float64]:
        """The true peak of every tenth of a second, and of what follows the last whole one."""
        return self._peaks.peaks()

    def facts(self) -> SoundFacts:
        """The facts of all that has been heard."""
        energies = self._loudness.energies()
        peaks = self._peaks.peaks()
        levels = self._levels.levels()
        true_peak_dbtp = gain_to_db(float(peaks.max()))
        integrated_lufs = loudness.integrated_lufs(energies)
        return SoundFacts(
            integrated_lufs=integrated_lufs,
            range_lu=loudness.range_lu(energies),
            max_momentary_lufs=loudness.highest(loudness.momentary_lufs(energies)),
            max_short_term_lufs=loudness.highest(loudness.short_term_lufs(energies)),
            true_peak_dbtp=true_peak_dbtp,
            sample_peak_dbfs=levels.sample_peak_dbfs,
            plr_db=plr_db(true_peak_dbtp, integrated_lufs),
            psr_min_db=psr_min_db(peaks, energies),
            correlation=levels.correlation,
            dc_offset=levels.dc_offset,
        )


class SectionMeters:
    """What the contour says of each of `spans`, which may touch, overlap or leave gaps.

    Without `bands` no span has bands, third octaves or a voice; without `voice` none has a voice.
    """

    def __init__(
        self, rate_hz: int, channels: int, spans: Sequence[Span], *, bands: bool = True, voice: bool = True
    ) -> None:
        self._rate_hz = rate_hz
        self._channels = channels
        self._spans = tuple(spans)
        edges = {edge for span in self._spans for edge in (span.start, span.end)}
        self._cuts = sorted(edges - {0})
        self._loudness = loudness.LoudnessMeter(rate_hz, channels, attack.HOPS_PER_SECOND)
        self._peaks = TruePeakMeter(channels, GivenCuts(self._cuts))
        self._levels = LevelMeter(channels, GivenCuts(self._cuts))
        self._spectrum = SpectrumMeter(rate_hz, channels, self._spans, voice=voice)
        self._bands = bands

    def add(self, block: Block) -> None:
        """Hears the next frames."""
        self._loudness.add(block)
        self._peaks.add(block)
        self._levels.add(block)
        if self._bands:
            self._spectrum.add(block)

    def _pieces(self, span: Span) -> slice:
        """The stretches between cuts that make up a span."""
        first = bisect_left(self._cuts, span.start) + 1 if span.start else 0
        return slice(first, bisect_left(self._cuts, span.end) + 1 if span.end else 0)

    def onsets(self) -> tuple[NDArray[np.int64], ...]:
        """The strong onsets of each span, for `facts` of this sound or of a treatment of it."""
        fine = self._loudness.energies()
        return tuple(attack.strong_onsets(self._powers(fine, span)) for span in self._spans)

    def facts(self, onsets: Sequence[NDArray[np.int64]] | None = None) -> tuple[SectionFacts, ...]:
        """The facts of each span, in the order given, of what has been heard.

        onsets: those of the same spans of the sound that this is a treatment of; else its own.
        """
        fine = self._loudness.energies()
        onsets = self.onsets() if onsets is None else onsets
        peaks = self._peaks.peaks()
        levels = self._levels.pieces()
        spectra = self._spectrum.spectra()
        return tuple(
            self._section(
                self._powers(fine, span),
                peaks[self._pieces(span)],
                levels[self._pieces(span)],
                spectrum,
                attack.attack_db(self._powers(fine, span), at),
                voice_db,
            )
            for span, spectrum, at, voice_db in zip(
                self._spans, spectra, onsets, self._spectrum.voices_db(), strict=True
            )
        )

    def _section(
        self,
        powers: Powers,
        peaks: Powers,
        pieces: Block,
        spectrum: Spectrum,
        attack_db: float | None,
        voice_db: float | None,
    ) -> SectionFacts:
        energies = loudness.coarser(powers, attack.HOPS_PER_SECOND // loudness.HOPS_PER_SECOND)
        levels = levels_of(pieces, self._channels)
        true_peak_dbtp = gain_to_db(float(peaks.max(initial=0.0)))
        return SectionFacts(
            loudness_lufs=loudness.section_lufs(powers, 0, powers.size),
            max_short_term_lufs=loudness.highest(loudness.short_term_lufs(energies)),
            true_peak_dbtp=true_peak_dbtp,
            crest_db=crest_db(true_peak_dbtp, levels.rms_dbfs),
            attack_db=attack_db,
            width_db=levels.width_db,
            correlation=levels.correlation,
            bands_db=spectrum.bands(),
            third_octave_db=spectrum.third_octaves_db(),
            density_per_s=attack.density_per_s(powers),
            voice_db=voice_db,
        )

    def _powers(self, fine: Powers, span: Span) -> Powers:
        return fine[self._hop(span.start) : self._hop(span.end)]

    def _hop(self, frame: int) -> int:
        """The 2 ms step that begins nearest to a frame."""
        return (2 * frame * attack.HOPS_PER_SECOND + self._rate_hz) // (2 * self._rate_hz)
