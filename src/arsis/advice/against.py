"""How a song stands beside chosen records, at matched loudness: where it differs, not what is right."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from arsis.measure.spectrum import OCTAVE_RATIO, THIRD_OCTAVES
from arsis.report.text import number

from .curve import WHOLE, Curve, KindCurve
from .reference import Reference

About = Literal["tone", "width", "attack", "voice", "plr", "step", "growth"]
Figure = Callable[[Curve], float | None]

MOST = 5  # differences that are told
# How far outside the records' range something lies before it is told. Common practice, no source.
TONE_DB = 1.5
LEAST_DB: dict[About, float] = {
    "width": 1.5, "attack": 1.0, "voice": 1.0, "plr": 1.5, "step": 0.5, "growth": 1.0,
}  # fmt: skip
MOST_TIMES = 4.0  # of that: past it, another instrument plays, and no more can be said
LONG = 0.25  # of the song: a kind of section that has to share what is told of the whole
UNSUNG_DB = -12.0  # below, there may be no voice (docs/references.md)
LEAST_BANDS = 2  # two thirds of an octave
# 31.5 Hz to 12.5 kHz: below, the bands are smeared; above, lossy records have nothing.
BANDS = range(2, 29)
FAINT_DB = 50.0  # a band so far below the loudest of song and records is not heard in either
LOW_HZ = (28.0, 112.0)  # edges of the third octaves from 31.5 to 100 Hz: what is called the low end here


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """One thing in which the song lies outside the records.

    kind: of the sections it is about; `whole` for all of it. by_db: song less the nearest record, dB or LU.
    freq_hz, from_hz, to_hz: centre and edges; only of tone. says: in words, with figure and units.
    """

    about: About
    kind: str
    freq_hz: float | None = None
    from_hz: float | None = None
    to_hz: float | None = None
    by_db: float
    says: str


def differences(song: Curve, references: Sequence[Reference]) -> tuple[Difference, ...]:
    """The weightiest differences, five at most.

    Weight: how often it holds what is let pass, four times at most, times the share of the song that it is
    about; of tone, times the root of its breadth. What every long kind of section shares is told of the whole
    song, and not again of them; what one of them does not share is told of the others only.
    """
    whole_s = song.kinds[0].duration_s
    found: dict[str, list[tuple[float, Difference]]] = {}
    for part in song.kinds:
        beside = [one for one in references if one.curve.of(part.kind) is not None]
        if beside:
            share = part.duration_s / whole_s
            told = (*_tone(song, part.kind, beside), *_figures(song, part.kind, beside))
            found[part.kind] = [(weight * share, one) for weight, one in told]
    whole = found.pop(WHOLE, [])
    long = [found[one.kind] for one in song.kinds if one.kind in found and one.duration_s >= LONG * whole_s]
    shared = [
        (weight, one)
        for weight, one in whole
        if one.about == "plr" or all(any(_shares(part, one) for _, part in parts) for parts in long)
    ]
    own = [
        (weight, one)
        for parts in found.values()
        for weight, one in parts
        if not any(_alike(one, other) for _, other in shared)
    ]
    in_order = sorted([*shared, *own], key=lambda pair: -pair[0])
    return tuple(one for _, one in in_order[:MOST])


def _alike(one: Difference, other: Difference) -> bool:
    """About the same, to the same side, and of tone where the other is."""
    if one.about != other.about or (one.by_db > 0.0) != (other.by_db > 0.0):
        return False
    edges = (one.from_hz, one.to_hz, other.from_hz, other.to_hz)
    return None in edges or (edges[0] < edges[3] and edges[2] < edges[1])  # type: ignore[operator]


def _shares(part: Difference, whole: Difference) -> bool:
    return _alike(part, whole) and abs(part.by_db) >= 0.5 * abs(whole.by_db)


def _outside(value: float, others: Sequence[float]) -> float:
    """How far a value lies over the highest or, negative, under the lowest of others."""
    return max(0.0, value - max(others)) + min(0.0, value - min(others))


def _times(by: float, let_pass: float) -> float:
    return min(abs(by) / let_pass, MOST_TIMES)


def _tone(song: Curve, kind: str, beside: Sequence[Reference]) -> Iterator[tuple[float, Difference]]:
    """Runs of third octaves that all lie outside, on one side."""
    ours, theirs = _spectrum(song, kind), [_spectrum(one.curve, kind) for one in beside]
    faint_db = max(max(levels) for levels in (ours, *theirs)) - FAINT_DB
    by_db = [
        0.0 if max(level, *others) < faint_db or min(level, *others) == -math.inf else _outside(level, others)
        for level, *others in zip(ours, *theirs, strict=True)
    ]
    for run in _runs(by_db):
        most_db = max((by_db[i] for i in run), key=abs)
        weights = [abs(by_db[i]) for i in run]
        centre = sum(w * math.log(THIRD_OCTAVES[BANDS[i]]) for w, i in zip(weights, run, strict=True))
        side = OCTAVE_RATIO ** (1 / 6)
        from_hz, to_hz = THIRD_OCTAVES[BANDS[run[0]]] / side, THIRD_OCTAVES[BANDS[run[-1]]] * side
        says = f"{_amount(most_db, 'dB', 'more', 'less')} from {_hz(from_hz)} to {_hz(to_hz)}"
        yield (
            _times(most_db, TONE_DB) * math.sqrt(len(run) / LEAST_BANDS),
            Difference(
                about="tone",
                kind=kind,
                freq_hz=math.exp(centre / sum(weights)),
                from_hz=from_hz,
                to_hz=to_hz,
                by_db=most_db,
                says=f"{_called(kind)}: {says} than in {_named(beside)}",
            ),
        )


def _spectrum(curve: Curve, kind: str) -> list[float]:
    """Third octaves re the loudness of these sections: how loud they are against others is told of steps."""
    found = curve.of(kind)
    assert found is not None, "asked only for kinds that are there"
    levels = [found.third_octaves_db[band] for band in BANDS]
    return [-math.inf if level is None else level - found.loudness_lu for level in levels]


def _runs(by_db: Sequence[float]) -> Iterator[list[int]]:
    """Stretches of two thirds of an octave or more that lie outside by more than is let pass, on one side."""
    run: list[int] = []
    for i, value in enumerate([*by_db, 0.0]):
        if run and (abs(value) <= TONE_DB or (value > 0.0) != (by_db[run[-1]] > 0.0)):
            if len(run) >= LEAST_BANDS:
                yield run
            run = []
        if abs(value) > TONE_DB:
            run = [*run, i]


def _figures(song: Curve, kind: str, beside: Sequence[Reference]) -> Iterator[tuple[float, Difference]]:
    """What is one figure for a kind of section."""
    for about, figure, unit, say, more, less in _told_of(kind):
        ours = figure(song)
        theirs = [(one, figure(one.curve)) for one in beside]
        known = [(one, value) for one, value in theirs if value is not None]
        if ours is None or not known:
            continue
        by_db = _outside(ours, [value for _, value in known])
        if abs(by_db) > LEAST_DB[about]:
            named = _named([one for one, _ in known])
            says = f"{_called(kind)}: {say} {_amount(by_db, unit, more, less)} than in {named}"
            yield (
                _times(by_db, LEAST_DB[about]),
                Difference(about=about, kind=kind, by_db=by_db, says=says),
            )


def _told_of(kind: str) -> Iterator[tuple[About, Figure, str, str, str, str]]:
    """About what, its figure, unit, and the words around: what, how it is when larger, and when smaller."""

    def of(figure: Callable[[KindCurve], float | None]) -> Figure:
        def value(curve: Curve) -> float | None:
            found = curve.of(kind)
            return None if found is None else figure(found)

        return value

    yield "width", of(lambda one: one.width_db), "dB", "its sides lie", "higher", "lower"
    yield "attack", of(lambda one: one.attack_db), "dB", "its attacks stand", "higher", "lower"
    yield "voice", of(_voice_db), "dB", "its voice, as estimated, stands", "higher", "lower"
    if kind == WHOLE:
        yield "plr", lambda curve: curve.plr_db, "dB", "its PLR is", "higher", "lower"
    if kind == "chorus":
        yield "step", of(lambda one: one.step_lu), "LU", "the step into it is", "larger", "smaller"
        yield "growth", low_growth_db, "dB", "from verse to chorus its low end grows", "more", "less"


def _voice_db(one: KindCurve) -> float | None:
    return one.voice_db if one.voice_db is not None and one.voice_db > UNSUNG_DB else None


def low_growth_db(curve: Curve) -> float | None:
    """Level of the low end in the choruses less that in the verses."""
    verse, chorus = curve.of("verse"), curve.of("chorus")
    if verse is None or chorus is None:
        return None
    levels = [_low_db(one) for one in (verse, chorus)]
    return levels[1] - levels[0] if all(math.isfinite(level) for level in levels) else None


def _low_db(one: KindCurve) -> float:
    low = [
        10.0 ** (level / 10.0)
        for level, mid_hz in zip(one.third_octaves_db, THIRD_OCTAVES, strict=True)
        if level is not None and LOW_HZ[0] < mid_hz < LOW_HZ[1]
    ]
    return 10.0 * math.log10(sum(low)) if low else -math.inf


def _amount(by: float, unit: str, more: str, less: str) -> str:
    return f"{number(abs(by))} {unit} {more if by > 0.0 else less}"


def _called(kind: str) -> str:
    return "whole song" if kind == WHOLE else kind.replace("_", "-")


def _hz(freq_hz: float) -> str:
    return f"{number(freq_hz / 1000.0)} kHz" if freq_hz >= 1000.0 else f"{number(freq_hz, 0)} Hz"


def _named(beside: Sequence[Reference]) -> str:
    names = [one.name for one in beside]
    if len(names) == 1:
        return f"{names[0]} (1 reference)"
    return f"any of {', '.join(names[:-1])} and {names[-1]} ({len(names)} references)"
