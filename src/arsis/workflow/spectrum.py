"""The measured spectrum of the sections that use a pass: the mix, and what the pass makes of it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from arsis.audio import BLOCK_FRAMES, Block, Span
from arsis.errors import PlanError
from arsis.io.info import SoundInfo
from arsis.io.read import open_sound
from arsis.measure.spectrum import Spectrum, SpectrumMeter
from arsis.plan.model import Song
from arsis.process import ChainRunner, is_neutral_chain
from arsis.render.printed import SoundAt, align_printed
from arsis.render.schedule import section_spans
from arsis.settings import Processor

Numbers = NDArray[np.float64]

LOWEST_HZ, HIGHEST_HZ, HIGHEST_OF_NYQUIST = 20.0, 20_000.0, 0.95
BANDS_AN_OCTAVE = 6
WARM_UP_S = 2.0  # by then filters, and detectors but for the slowest, stand where they would
MOST_HEARD_S = 24.0  # of all the sections together: enough for a mean spectrum, and soon done


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
    treatment, path = song.pass_[name], release / song.mix
    with ExitStack() as stack:
        mix = stack.enter_context(open_sound(path))
        rate_hz, frames = mix.info.rate_hz, mix.info.frames
        spans = section_spans(song, rate_hz, frames)
        using = [(one.name, span) for one, span in zip(song.section, spans, strict=True) if one.pass_ == name]
        heard = _middles([span for _, span in using] or [Span(0, frames)], round(MOST_HEARD_S * rate_hz))
        before = after = _of_mix(path, path.stat().st_mtime_ns, heard)
        treated: Callable[[int, int], Block] = SoundAt(mix)
        if treatment.print is not None:
            treated = align_printed(stack.enter_context(open_sound(release / treatment.print)), mix)
        if treatment.print is not None or not is_neutral_chain(treatment.chain):
            after = _mean(treated, mix.info, heard, treatment.chain)
    centres = _centres(rate_hz)
    seconds = sum(span.frames for span in heard) / rate_hz
    names = tuple(section for section, _ in using)
    return PassSpectrum(centres, _bands_db(before, centres), _bands_db(after, centres), names, seconds)


@lru_cache(maxsize=32)
def _of_mix(path: Path, changed_ns: int, spans: tuple[Span, ...]) -> Spectrum:
    """Of the mix itself, which stays while its passes are being set. changed_ns: of the file."""
    with open_sound(path) as mix:
        return _mean(SoundAt(mix), mix.info, spans, ())


def _middles(spans: Sequence[Span], most: int) -> tuple[Span, ...]:
    """The middle of each span, all by the same share, so that together they are no longer than `most`."""
    share = min(1.0, most / max(1, sum(span.frames for span in spans)))
    middles = []
    for span in spans:
        length = round(share * span.frames)
        start = span.start + (span.frames - length) // 2
        middles.append(Span(start, start + length))
    return tuple(middles)


def _mean(
    sound: Callable[[int, int], Block], info: SoundInfo, spans: Sequence[Span], chain: Sequence[Processor]
) -> Spectrum:
    """The mean spectrum of spans of a sound through a chain, each counting by its length."""
    spectra = [_heard(sound, span, info, ChainRunner(chain, info.rate_hz, info.channels)) for span in spans]
    weights = np.array([span.frames for span in spans], dtype=np.float64)
    power = np.average([one.power for one in spectra], axis=0, weights=weights)
    return Spectrum(power, spectra[0].bin_hz)


def _heard(sound: Callable[[int, int], Block], span: Span, info: SoundInfo, chain: ChainRunner) -> Spectrum:
    """The mean spectrum of a span, through a chain that has run for a while before it."""
    warm = min(span.start, round(WARM_UP_S * info.rate_hz))
    meter = SpectrumMeter(info.rate_hz, info.channels, [Span(0, span.frames)])
    drop, end = warm + chain.latency, span.end + chain.latency
    for start in range(span.start - warm, end, BLOCK_FRAMES):
        block = chain.process(sound(start, min(BLOCK_FRAMES, end - start)))
        skipped = min(drop, block.shape[1])
        drop -= skipped
        if block.shape[1] > skipped:
            meter.add(np.ascontiguousarray(block[:, skipped:]))
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
