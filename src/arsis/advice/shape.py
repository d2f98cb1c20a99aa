"""Section against section: what the refrains have beside the verses, in what sounds in both.

Its limits were set on the bench's seen songs, which have nothing wrong and differ in arrangement as songs do;
what they find and miss on the unseen ones is in docs/advise.md.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import Executor, ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from arsis.measure.alike.moments import Moments
from arsis.measure.alike.transfer import Transfer, kinds_of, transfer
from arsis.measure.loudness import HOPS_PER_SECOND, lufs
from arsis.measure.strokes.between import Strokes, strokes_between
from arsis.measure.strokes.sound import struck
from arsis.measure.summary import PEAKS_PER_SECOND
from arsis.render.contour import Contour, SectionShape
from arsis.report.text import number, percent
from arsis.units import gain_to_db

from .evidence import Evidence
from .pair import KindLevel, Pair
from .shape_level import judge_attack, judge_step, judge_width
from .shape_tone import judge_tone

LEAST_MOMENTS, LEAST_S = 20, 10.0  # of a kind: with fewer, chance decides
LEAST_ALIKE = 40  # moments of a kind, for what is much alike and not the same
PEAK = 0.9  # of every tenth of a second the true peak; one in ten is higher


@dataclass(frozen=True, slots=True)
class Judged:
    """evidence: the surest first. leave: what was looked at and wants no move, in words."""

    evidence: tuple[Evidence, ...]
    leave: tuple[str, ...]


def judge_shape(shape: Contour, moments: Moments) -> Judged:
    """What the print's sections give cause to change."""
    kinds = _kinds(shape.sections, moments.frames, moments.rate_hz)
    lengths_s: defaultdict[str, float] = defaultdict(float)
    for section in shape.sections:
        lengths_s[section.kind] += section.end_s - section.start_s
    chosen = kinds_to_compare(lengths_s, Counter(kinds.tolist()))
    if chosen is None:
        return Judged(
            (), ("sections among themselves: fewer than two kinds have enough struck sounds to compare",)
        )
    one, other = chosen
    with ThreadPoolExecutor(1) as aside:
        alike = _alike(moments, kinds, one, other, aside)
        strokes = _strokes(shape.sections, moments, one, other)
        pair = Pair(_level(shape, one), _level(shape, other), strokes, alike)
    step = judge_step(pair)
    cut_db = -step.size_db if isinstance(step, Evidence) else 0.0
    found = [
        step,
        *judge_tone(pair, cut_db),
        judge_width(pair),
        judge_attack(pair, cut_db),
    ]
    evidence = sorted((one for one in found if isinstance(one, Evidence)), key=lambda one: -one.sure)
    return Judged(
        tuple(evidence), (_looked(pair), *(one for one in found if isinstance(one, str)), *_told(pair))
    )


def _looked(pair: Pair) -> str:
    """By what the kinds were compared."""
    by = [f"{pair.strokes.count} strokes that are the same in both"] if pair.strokes.count else []
    if "between" in pair.__dict__ and pair.between is not None:
        by.append(f"the {percent(pair.between.alike)} of their sound that both have")
    return f"{pair.one.named} beside {pair.other.named}, by {' and '.join(by) or 'their levels and spectra'}"


def kinds_to_compare(lengths_s: Mapping[str, float], onsets: Mapping[str, int]) -> tuple[str, str] | None:
    """The two kinds with the most to say: refrains and verses where both sound long enough and one has enough
    onsets, since a dulled attack has fewer; else two that have enough of either. Both by kind.
    """
    long = [kind for kind in onsets if onsets[kind] and lengths_s[kind] >= LEAST_S]
    enough = [kind for kind in long if onsets[kind] >= LEAST_MOMENTS]
    if {"chorus", "verse"} <= {*long} and {"chorus", "verse"} & {*enough}:
        return "chorus", "verse"
    if len(enough) < 2:
        return None
    by_use = sorted(enough, key=lambda kind: (kind not in ("chorus", "verse"), -onsets[kind], kind))[:2]
    if "chorus" in by_use:
        return "chorus", next(kind for kind in by_use if kind != "chorus")
    if "verse" in by_use:
        return next(kind for kind in by_use if kind != "verse"), "verse"
    return by_use[0], by_use[1]


def _kinds(sections: Sequence[SectionShape], frames: NDArray[np.int64], rate_hz: int) -> NDArray[np.str_]:
    starts_s = [section.start_s for section in sections]
    return kinds_of(frames / rate_hz, starts_s, [section.kind for section in sections])


def _strokes(sections: Sequence[SectionShape], moments: Moments, one: str, other: str) -> Strokes:
    onsets = struck(moments.sound, moments.frames)
    kinds = _kinds(sections, onsets.frames, moments.rate_hz)
    inside = (kinds == one) | (kinds == other)
    return strokes_between(moments.sound, onsets.taken(inside), kinds[inside] == one)


def _alike(
    moments: Moments, kinds: NDArray[np.str_], one: str, other: str, aside: Executor
) -> Callable[[], Transfer] | None:
    """On its way while strokes are compared: it is nearly always asked for, for the edge."""
    is_one, is_other = kinds == one, kinds == other
    if min(np.count_nonzero(is_one), np.count_nonzero(is_other)) < LEAST_ALIKE:
        return None
    inside = is_one | is_other
    return aside.submit(transfer, moments.powers[inside], is_one[inside]).result


def _level(shape: Contour, kind: str) -> KindLevel:
    inside = [section for section in shape.sections if section.kind == kind]

    def there(series: NDArray[np.float64], per_s: int) -> NDArray[np.float64]:
        return np.concatenate([series[round(s.start_s * per_s) : round(s.end_s * per_s)] for s in inside])

    peak = float(np.quantile(there(shape.mix_true_peaks, PEAKS_PER_SECOND), PEAK))
    voices = [section.print.voice_db for section in inside if section.print.voice_db is not None]
    return KindLevel(
        kind=kind,
        sections=tuple(section.name for section in inside),
        loudness_lufs=_lufs(there(shape.print_energies, HOPS_PER_SECOND)),
        peaks_db=gain_to_db(peak) - _lufs(there(shape.mix_energies, HOPS_PER_SECOND)),
        density_per_s=_mean(inside, [s.print.density_per_s for s in inside]),
        low_db=_mean(inside, [s.print.bands_db.low for s in inside]),
        body_over_edge_db=_mean(
            inside, [s.print.bands_db.low_mid - s.print.bands_db.presence for s in inside]
        ),
        voice_db=_mean(inside, voices) if len(voices) == len(inside) else None,
        third_octaves_db=_third_octaves_db(inside),
    )


def _third_octaves_db(sections: Sequence[SectionShape]) -> NDArray[np.float64]:
    levels_db = np.array([section.print.third_octave_db for section in sections])
    lengths = [section.end_s - section.start_s for section in sections]
    with np.errstate(divide="ignore"):  # an empty band has no level
        return np.asarray(10.0 * np.log10(np.average(10.0 ** (levels_db / 10.0), axis=0, weights=lengths)))


def _lufs(powers: NDArray[np.float64]) -> float:
    return lufs(float(powers.mean()))


def _mean(sections: Sequence[SectionShape], figures: Sequence[float]) -> float:
    """Weighted by time."""
    lengths = [section.end_s - section.start_s for section in sections]
    return float(np.average(figures, weights=lengths))


def _told(pair: Pair) -> Iterator[str]:
    """What is told and not judged: nobody can say what it should be."""
    one, other = pair.one, pair.other
    yield (
        f"density: {number(one.density_per_s)} onsets a second in {one.named}, "
        f"{number(other.density_per_s)} in {other.named}"
    )
    yield f"low band: {_levels(one.low_db, one, other.low_db, other)}, against their own level"
    edges = _levels(one.body_over_edge_db, one, other.body_over_edge_db, other)
    yield f"body over edge: {edges}"
    if one.voice_db is not None and other.voice_db is not None:
        yield f"voice against the band, an estimate: {_levels(one.voice_db, one, other.voice_db, other)}"


def _levels(here_db: float, one: KindLevel, there_db: float, other: KindLevel) -> str:
    return f"{number(here_db)} dB in {one.named}, {number(there_db)} dB in {other.named}"
