"""The measured spectrum before and after a chain: of a pass in the sections that use it, or of the finish."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from arsis.audio import BLOCK_FRAMES, Span
from arsis.measure.spectrum import Spectrum, SpectrumMeter
from arsis.plan.model import Finish, Pass, Song
from arsis.process import is_neutral_chain
from arsis.render.run import single_pass
from arsis.render.schedule import section_spans
from arsis.render.source import Source
from arsis.render.stretch import Stretch
from arsis.render.words import Word

Numbers = NDArray[np.float64]
# What a plan over the mix renders from, open.
SourceOf = Callable[[Song], Source]

LOWEST_HZ, HIGHEST_HZ, HIGHEST_OF_NYQUIST = 20.0, 20_000.0, 0.95
BANDS_AN_OCTAVE = 6
MOST_HEARD_S = 24.0  # of all the sections together: enough for a mean spectrum, and soon done
_FLOAT = Word(32, is_float=True)  # neither rounded nor dithered


@dataclass(frozen=True, slots=True)
class ChainSpectrum:
    """Mean levels of bands a sixth of an octave wide, in dB re full scale; -inf where there is nothing.

    heard_s: how much was listened to, from the middles of the sections where they are long.
    """

    freq_hz: Numbers
    before_db: Numbers
    after_db: Numbers
    sections: tuple[str, ...]
    heard_s: float


def chain_spectrum(source_of: SourceOf, song: Song, owner: str | None) -> ChainSpectrum:
    """Of a pass: the mix, and what the pass makes of it, in the sections that use it, or in the whole song
    where none does. Of the finish, where `owner` is None: what comes into it, and what goes to the limiter.

    Raises PlanError for a pass that the song does not have or that cannot run on its mix.
    """
    if owner is None:
        before, after = (
            replace(song, finish=Finish()),
            replace(song, finish=replace(song.finish, limiter=None)),
        )
        same = song.finish.gain_db == 0.0 and is_neutral_chain(song.finish.chain)
    else:
        after = single_pass(song, owner)
        before = replace(after, pass_={**song.pass_, owner: Pass()})
        same = song.pass_[owner].print is None and is_neutral_chain(song.pass_[owner].chain)
    source = source_of(before)
    info = source.mix.info
    spans = section_spans(song, info.rate_hz, info.frames)
    using = [i for i, one in enumerate(song.section) if owner in (None, one.pass_)]
    heard = _middles([spans[i] for i in using] or [Span(0, info.frames)], round(MOST_HEARD_S * info.rate_hz))
    centres = _centres(info.rate_hz)
    before_db = _bands_db(_mean(source, heard), centres)
    after_db = before_db if same else _bands_db(_mean(source_of(after), heard), centres)
    names = tuple(song.section[i].name for i in using)
    return ChainSpectrum(
        centres, before_db, after_db, names, sum(span.frames for span in heard) / info.rate_hz
    )


def _middles(spans: Sequence[Span], most: int) -> tuple[Span, ...]:
    """The middle of each span, all by the same share, so that together they are no longer than `most`."""
    share = min(1.0, most / max(1, sum(span.frames for span in spans)))
    middles = []
    for span in spans:
        length = round(share * span.frames)
        start = span.start + (span.frames - length) // 2
        middles.append(Span(start, start + length))
    return tuple(middles)


def _mean(source: Source, spans: Sequence[Span]) -> Spectrum:
    """The mean spectrum of spans of what a song is rendered as, each counting by its length."""
    spectra = [_heard(source, span) for span in spans]
    weights = np.array([span.frames for span in spans], dtype=np.float64)
    power = np.average([one.power for one in spectra], axis=0, weights=weights)
    return Spectrum(power, spectra[0].bin_hz)


def _heard(source: Source, span: Span) -> Spectrum:
    info = source.mix.info
    meter = SpectrumMeter(info.rate_hz, info.channels, [Span(0, span.frames)])
    stretch = Stretch(source, _FLOAT, span.start, span.end)
    while stretch.at < span.end:
        meter.add(np.ascontiguousarray(stretch.read(BLOCK_FRAMES), dtype=np.float64))
    return meter.spectra()[0]


def _centres(rate_hz: int) -> Numbers:
    """Mid-band frequencies, even in octaves about 1 kHz, that the rate has."""
    highest_hz = min(HIGHEST_HZ, HIGHEST_OF_NYQUIST * rate_hz / 2.0)
    low, high = (np.log2(hz / 1000.0) * BANDS_AN_OCTAVE for hz in (LOWEST_HZ, highest_hz))
    return 1000.0 * 2.0 ** (np.arange(np.ceil(low), np.floor(high) + 1) / BANDS_AN_OCTAVE)


def _bands_db(spectrum: Spectrum, centres_hz: Numbers) -> Numbers:
    side = 2.0 ** (0.5 / BANDS_AN_OCTAVE)
    with np.errstate(divide="ignore"):
        return 10.0 * np.log10(spectrum.band_powers(np.stack([centres_hz / side, centres_hz * side], axis=1)))
