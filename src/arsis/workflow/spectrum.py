"""The measured spectrum of the sections that use a pass: the mix, and what the pass makes of it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from arsis.audio import BLOCK_FRAMES, Block, Span
from arsis.errors import PlanError
from arsis.io.read import open_sound
from arsis.measure.spectrum import Spectrum, SpectrumMeter
from arsis.plan.model import Song
from arsis.process import ChainRunner
from arsis.render.printed import SoundAt, align_printed
from arsis.render.schedule import section_spans

Numbers = NDArray[np.float64]

LOWEST_HZ, HIGHEST_HZ, HIGHEST_OF_NYQUIST = 20.0, 20_000.0, 0.95
BANDS_AN_OCTAVE = 6
WARM_UP_S = 5.0  # the longest release there is: by then filters and detectors stand where they would
MOST_HEARD_S = 40.0  # of all the sections together: enough for a mean spectrum, and soon done


@dataclass(frozen=True, slots=True)
class PassSpectrum:
    """Mean levels of bands a sixth of an octave wide, in dB re full scale; -inf where there is nothing.

    heard_s: how much was listened to, from the middles of the sections where they are long.
    """

    freq_hz: Numbers
    before_db: Numbers
    after_db: Numbers
    sections: tuple[str, ...]
    heard_s: float


def pass_spectrum(release: Path, song: Song, name: str) -> PassSpectrum:
    """Mix and pass over the sections that use it; over the whole song where none does.

    Raises PlanError for a pass that the song does not have or that cannot run on its mix, SoundFileError
    where the mix cannot be read.
    """
    if name not in song.pass_:
        raise PlanError(f"no pass {name!r} in {song.title!r}; it has {', '.join(song.pass_) or 'none'}")
    treatment = song.pass_[name]
    with ExitStack() as stack:
        mix = stack.enter_context(open_sound(release / song.mix))
        rate_hz, channels, frames = mix.info.rate_hz, mix.info.channels, mix.info.frames
        treated: Callable[[int, int], Block] = SoundAt(mix)
        if treatment.print is not None:
            treated = align_printed(stack.enter_context(open_sound(release / treatment.print)), mix)
        spans = section_spans(song, rate_hz, frames)
        using = [(one.name, span) for one, span in zip(song.section, spans, strict=True) if one.pass_ == name]
        heard = _middles([span for _, span in using] or [Span(0, frames)], round(MOST_HEARD_S * rate_hz))

        def chain() -> ChainRunner:
            return ChainRunner(treatment.chain, rate_hz, channels)

        before = _mean([_heard(SoundAt(mix), span, rate_hz, channels, None) for span in heard], heard)
        after = _mean([_heard(treated, span, rate_hz, channels, chain()) for span in heard], heard)
    centres = _centres(rate_hz)
    seconds = sum(span.frames for span in heard) / rate_hz
    names = tuple(section for section, _ in using)
    return PassSpectrum(centres, _bands_db(before, centres), _bands_db(after, centres), names, seconds)


def _middles(spans: Sequence[Span], most: int) -> list[Span]:
    """The middle of each span, all by the same share, so that together they are no longer than `most`."""
    share = min(1.0, most / max(1, sum(span.frames for span in spans)))
    middles = []
    for span in spans:
        length = round(share * span.frames)
        start = span.start + (span.frames - length) // 2
        middles.append(Span(start, start + length))
    return middles


def _heard(
    sound: Callable[[int, int], Block], span: Span, rate_hz: int, channels: int, chain: ChainRunner | None
) -> Spectrum:
    """The mean spectrum of a span, through a chain that has run for a while before it."""
    warm = min(span.start, round(WARM_UP_S * rate_hz)) if chain else 0
    late = chain.latency if chain else 0
    meter = SpectrumMeter(rate_hz, channels, [Span(0, span.frames)])
    drop, end = warm + late, span.end + late
    for start in range(span.start - warm, end, BLOCK_FRAMES):
        block = sound(start, min(BLOCK_FRAMES, end - start))
        block = chain.process(block) if chain else block
        skipped = min(drop, block.shape[1])
        drop -= skipped
        if block.shape[1] > skipped:
            meter.add(np.ascontiguousarray(block[:, skipped:]))
    return meter.spectra()[0]


def _mean(spectra: Sequence[Spectrum], spans: Sequence[Span]) -> Spectrum:
    """One spectrum of several, each by its length."""
    weights = np.array([span.frames for span in spans], dtype=np.float64)
    power = np.average([one.power for one in spectra], axis=0, weights=weights)
    return Spectrum(power, spectra[0].bin_hz)


def _centres(rate_hz: int) -> Numbers:
    """Mid-band frequencies, even in octaves about 1 kHz, that the rate has."""
    highest_hz = min(HIGHEST_HZ, HIGHEST_OF_NYQUIST * rate_hz / 2.0)
    low, high = (np.log2(hz / 1000.0) * BANDS_AN_OCTAVE for hz in (LOWEST_HZ, highest_hz))
    return 1000.0 * 2.0 ** (np.arange(np.ceil(low), np.floor(high) + 1) / BANDS_AN_OCTAVE)


def _bands_db(spectrum: Spectrum, centres_hz: Numbers) -> Numbers:
    side = 2.0 ** (0.5 / BANDS_AN_OCTAVE)
    with np.errstate(divide="ignore"):
        return 10.0 * np.log10(spectrum.band_powers(np.stack([centres_hz / side, centres_hz * side], axis=1)))
