"""The shape of a song: mix and print, section by section."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block, Span
from arsis.measure.summary import Meters, SectionFacts, SectionMeters, SoundFacts

from .ear import PrintEar, SectionTook, steps
from .engine import Taps
from .progress import Progress, unseen
from .run import Joins, Way, render
from .source import Source
from .took import Took
from .words import Words, is_the_mix


@dataclass(frozen=True, slots=True)
class SectionShape:
    """One section of the contour. A step is into this section; the first has none."""

    name: str
    kind: str
    start_s: float
    end_s: float
    pass_: str
    mix: SectionFacts
    print: SectionFacts
    step_mix_lu: float | None
    step_print_lu: float | None
    step_asked_db: float | None
    took: SectionTook


@dataclass(frozen=True, slots=True)
class Contour:
    """Everything one listening render tells.

    mix_energies, print_energies: K-weighted power of every 10 ms. mix_true_peaks, print_true_peaks: of every
    tenth of a second, as magnitudes. took_db: the limiter's trace, see `took`. onsets: of the mix, by
    section, at which attacks are heard.
    """

    sections: tuple[SectionShape, ...]
    mix: SoundFacts
    print: SoundFacts
    took: Took
    joins: Joins
    mix_energies: NDArray[np.float64]
    print_energies: NDArray[np.float64]
    mix_true_peaks: NDArray[np.float64]
    print_true_peaks: NDArray[np.float64]
    took_db: NDArray[np.float64]
    onsets: tuple[NDArray[np.int64], ...]


def contour(
    source: Source,
    way: Way,
    progress: Progress = unseen,
    also: Callable[[Block], None] = lambda block: None,
    before: Contour | None = None,
    mix_bands: bool = True,
) -> Contour:
    """Renders the plan without writing it and measures mix and print by section. also: hears the print.

    before: a contour of the same mix in sections that lie the same; the mix is then not measured again.
    mix_bands: else the mix's sections may have none. A print that is the mix is measured once.
    """
    info = source.mix.info
    ear = PrintEar(source, way)
    once = is_the_mix(source.song, info, ear.plan, way.word, way.out_rate_hz)
    mix = None if before or once else _MixEar(info.rate_hz, info.channels, ear.plan.sections, mix_bands)
    print_sections = SectionMeters(way.out_rate_hz, info.channels, ear.sections)

    def hear_print(words: Words) -> None:
        sound = ear.hear(words)
        print_sections.add(sound)
        also(sound)

    taps = Taps(mix=mix.hear if mix is not None else None, asked=ear.taps.asked, gain=ear.taps.gain)
    joins = render(source, replace(way, taps=taps), hear_print, progress)
    if before is not None:
        heard = _heard_before(before)
    else:
        heard = _heard(ear.print, print_sections) if mix is None else mix.heard()
    return Contour(
        sections=_sections(source, ear, heard.sections, print_sections.facts(heard.onsets)),
        mix=heard.facts,
        print=ear.print.facts(),
        took=ear.took.whole(),
        joins=joins,
        mix_energies=heard.energies,
        print_energies=ear.print.energies(),
        mix_true_peaks=heard.true_peaks,
        print_true_peaks=ear.print.true_peaks(),
        took_db=ear.took.trace_db(),
        onsets=heard.onsets,
    )


@dataclass(frozen=True, slots=True)
class _MixHeard:
    facts: SoundFacts
    sections: tuple[SectionFacts, ...]
    energies: NDArray[np.float64]
    true_peaks: NDArray[np.float64]
    onsets: tuple[NDArray[np.int64], ...]


class _MixEar:
    """Listens to the mix."""

    def __init__(self, rate_hz: int, channels: int, spans: tuple[Span, ...], bands: bool) -> None:
        self._whole = Meters(rate_hz, channels)
        self._sections = SectionMeters(rate_hz, channels, spans, bands=bands)

    def hear(self, block: Block) -> None:
        self._whole.add(block)
        self._sections.add(block)

    def heard(self) -> _MixHeard:
        return _heard(self._whole, self._sections)


def _heard(whole: Meters, sections: SectionMeters) -> _MixHeard:
    onsets = sections.onsets()
    return _MixHeard(whole.facts(), sections.facts(onsets), whole.energies(), whole.true_peaks(), onsets)


def _heard_before(before: Contour) -> _MixHeard:
    sections = tuple(section.mix for section in before.sections)
    return _MixHeard(before.mix, sections, before.mix_energies, before.mix_true_peaks, before.onsets)


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a plan comes to: its print, measured as a contour's is, by section and whole, the voice aside."""

    sections: tuple[SectionFacts, ...]
    steps_lu: tuple[float | None, ...]
    took_sections: tuple[Took, ...]
    print: SoundFacts
    took: Took


def outcome(source: Source, way: Way, onsets: tuple[NDArray[np.int64], ...]) -> Outcome:
    """The same render without its mix being measured again. onsets: of a contour of the same sections."""
    ear = PrintEar(source, way)
    meters = SectionMeters(way.out_rate_hz, source.mix.info.channels, ear.sections, voice=False)
    render(source, replace(way, taps=Taps(gain=ear.took.add)), lambda words: meters.add(ear.hear(words)))
    sections = meters.facts(onsets)
    levels = [facts.loudness_lufs for facts in sections]
    return Outcome(sections, steps(levels), ear.took.result(), ear.print.facts(), ear.took.whole())


def _sections(
    source: Source, ear: PrintEar, mix: tuple[SectionFacts, ...], printed: tuple[SectionFacts, ...]
) -> tuple[SectionShape, ...]:
    rate_hz = source.mix.info.rate_hz
    mix_steps = steps([facts.loudness_lufs for facts in mix])
    print_steps = steps([facts.loudness_lufs for facts in printed])
    asked, took = ear.steps_asked_db(), ear.section_took()
    return tuple(
        SectionShape(
            name=section.name,
            kind=section.kind,
            start_s=span.start / rate_hz,
            end_s=span.end / rate_hz,
            pass_=section.pass_,
            mix=mix[i],
            print=printed[i],
            step_mix_lu=mix_steps[i],
            step_print_lu=print_steps[i],
            step_asked_db=asked[i],
            took=took[i],
        )
        for i, (section, span) in enumerate(zip(source.song.section, ear.plan.sections, strict=True))
    )
