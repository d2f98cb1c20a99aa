"""Pictures of docs/advise.md and docs/strokes.md: how refrains are treated beside verses, by two hearings."""

from __future__ import annotations

import math
from contextlib import ExitStack
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from arsis.demo.songs import song_truth
from arsis.measure.alike.moments import Moments
from arsis.measure.alike.scale import TONE_HZ, Floats
from arsis.measure.alike.transfer import kinds_of, transfer
from arsis.measure.strokes.between import strokes_between
from arsis.measure.strokes.solve import Solved
from arsis.measure.strokes.sound import struck
from arsis.measure.strokes.views import BANDS_HZ
from arsis.plan.model import Pass, Section, Song
from arsis.render.opening import open_source
from arsis.report.svg import Frame, Scale, figure, level_axis, line, linear, path, rect, tag, words
from arsis.workflow.advise import hear

FRAME = Frame(640, 250, left=40, right=16, top=40, bottom=24)
RANGE_DB = 4.0
Kinds = NDArray[np.str_]
PLACES_HZ = ((50, "50"), (100, "100"), (240, "240"), (1_000, "1k"), (3_200, "3.2k"), (10_000, "10k"))
# What is wrong with a song on purpose (docs/demo.md): from where to where, and what it is called.
PLANTED: dict[str, tuple[tuple[float, str], ...]] = {
    "low-water": ((240.0, "refrains: low mid down"), (3_200.0, "verses: edge up")),
    "nine-lamps": (),
}
STYLE = """
.paper { fill: #fbf9f4; } text { font: 11px Charter, Georgia, serif; fill: #6c7275; }
.name { font-size: 13px; fill: #23282b; } .grid { stroke: #e9e5da; } .tick { stroke: #6c7275; }
.run { stroke: #2f6b60; stroke-width: 0.8; opacity: 0.5; fill: none; }
.middle { stroke: #2f6b60; stroke-width: 2.4; fill: none; }
.told { fill: #2f6b60; } .error { stroke: #2f6b60; stroke-width: 1.2; }
.planted { stroke: #b3543f; stroke-dasharray: 4 3; }
"""


def drawn(mixes: Path, pictures: Path) -> None:
    """Writes `pictures`/alike-NAME.svg and strokes-NAME.svg for each song, from its mix in `mixes`."""
    for name in PLANTED:
        moments, kinds = _heard(name, mixes)
        for kind, text in (
            ("alike", curves_figure(name, tone_curves_db(moments, kinds))),
            ("strokes", strokes_figure(name, strokes_tone(name, moments))),
        ):
            (pictures / f"{kind}-{name}.svg").write_text(text + "\n", encoding="utf-8")


def _heard(name: str, mixes: Path) -> tuple[Moments, Kinds]:
    """The mix as it is, in the sections as composed."""
    truth = song_truth(name)
    sections = tuple(
        Section(name=one.name, kind=one.kind, start_s=round(one.start_s, 6), pass_="A")
        for one in truth.sections
    )
    plan = Song(title=truth.title, mix=f"{name}.wav", section=sections, pass_={"A": Pass()})
    with ExitStack() as stack:
        moments = hear(open_source(plan, mixes, stack)).moments
    return moments, _kinds(name, moments.frames, moments.rate_hz)


def _kinds(name: str, frames: NDArray[np.int64], rate_hz: int) -> Kinds:
    sections = song_truth(name).sections
    return kinds_of(frames / rate_hz, [one.start_s for one in sections], [one.kind for one in sections])


def tone_curves_db(moments: Moments, kinds: Kinds) -> Floats:
    """Each run's curve over TONE_HZ."""
    both = (kinds == "chorus") | (kinds == "verse")
    return transfer(moments.powers[both], kinds[both] == "chorus").tone_db


def strokes_tone(name: str, moments: Moments) -> Solved:
    """What the strokes that are the same gain in refrains."""
    onsets = struck(moments.sound, moments.frames)
    kinds = _kinds(name, onsets.frames, moments.rate_hz)
    both = (kinds == "chorus") | (kinds == "verse")
    tone = strokes_between(moments.sound, onsets.taken(both), kinds[both] == "chorus").tone
    assert tone is not None
    return tone


def strokes_figure(name: str, tone: Solved) -> str:
    """A dot and its standard error for each third octave."""
    x, y, parts = _axes(name, "strokes that are the same, refrains beside verses")
    for hz, level, error in zip(BANDS_HZ.tolist(), tone.db[0].tolist(), tone.error_db.tolist(), strict=True):
        at = x(math.log2(hz))
        low, high = (y(float(np.clip(edge, -RANGE_DB, RANGE_DB))) for edge in (level - error, level + error))
        parts += [line(at, low, at, high, "error"), rect(at - 2.5, y(level) - 2.5, 5.0, 5.0, "told")]
    title = song_truth(name).title
    return figure(FRAME, f"What strokes gain in refrains of {title}, by third octave, with errors", parts)


def curves_figure(name: str, curves_db: Floats) -> str:
    """All runs thin, their median thick."""
    x, y, parts = _axes(name, "refrains beside verses")
    bottom, top = FRAME.y

    def curve(levels_db: Floats, class_: str) -> str:
        held = np.clip(levels_db, -RANGE_DB, RANGE_DB)
        points = zip(TONE_HZ.tolist(), held.tolist(), strict=True)
        return path([(x(math.log2(hz)), y(level)) for hz, level in points], class_)

    for hz, label in PLANTED[name]:
        at = x(math.log2(hz))
        parts += [line(at, bottom, at, top, "planted"), words(label, at + 4, top + 10, "axis")]
    parts += [*(curve(one, "run") for one in curves_db), curve(np.median(curves_db, axis=0), "middle")]
    title = song_truth(name).title
    return figure(FRAME, f"Tone of refrains beside verses in {title}, {len(curves_db)} runs, median", parts)


def _axes(name: str, what: str) -> tuple[Scale, Scale, list[str]]:
    x = linear((math.log2(TONE_HZ[0]), math.log2(TONE_HZ[-1])), FRAME.x)
    y = linear((-RANGE_DB, RANGE_DB), FRAME.y)
    bottom = FRAME.y[0]
    parts = [tag("style", STYLE), rect(0.0, 0.0, FRAME.width, FRAME.height, "paper")]
    parts += [words(f"{song_truth(name).title}: {what}", FRAME.left, 16.0, "name")]
    parts += level_axis(FRAME, y, (-4.0, -2.0, 0.0, 2.0, 4.0), "dB")
    for hz, label in PLACES_HZ:
        at = x(math.log2(hz))
        parts += [line(at, bottom, at, bottom + 4, "tick"), words(label, at, bottom + 15, "axis", "middle")]
    return x, y, parts
