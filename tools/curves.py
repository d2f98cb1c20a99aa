"""The picture of docs/advise.md: how refrains are treated beside verses, in what sounds in both of them."""

from __future__ import annotations

import math
from contextlib import ExitStack
from pathlib import Path

import numpy as np

from arsis.demo.songs import song_truth
from arsis.measure.alike.scale import TONE_HZ, Floats
from arsis.measure.alike.transfer import kinds_of, transfer
from arsis.plan.model import Pass, Section, Song
from arsis.render.opening import open_source
from arsis.report.svg import Frame, figure, level_axis, line, linear, path, rect, tag, words
from arsis.workflow.advise import hear

FRAME = Frame(640, 250, left=40, right=16, top=40, bottom=24)
RANGE_DB = 4.0
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
.planted { stroke: #b3543f; stroke-dasharray: 4 3; }
"""


def drawn(mixes: Path, pictures: Path) -> None:
    """Writes `pictures`/alike-NAME.svg for each song, from its mix in `mixes`."""
    for name in PLANTED:
        text = curves_figure(name, tone_curves_db(name, mixes))
        (pictures / f"alike-{name}.svg").write_text(text + "\n", encoding="utf-8")


def tone_curves_db(name: str, mixes: Path) -> Floats:
    """Each run's curve over TONE_HZ, of the mix as it is, in the sections as composed."""
    truth = song_truth(name)
    sections = tuple(
        Section(name=one.name, kind=one.kind, start_s=round(one.start_s, 6), pass_="A")
        for one in truth.sections
    )
    plan = Song(title=truth.title, mix=f"{name}.wav", section=sections, pass_={"A": Pass()})
    with ExitStack() as stack:
        moments = hear(open_source(plan, mixes, stack)).moments
    kinds = kinds_of(moments, [one.start_s for one in sections], [one.kind for one in sections])
    both = (kinds == "chorus") | (kinds == "verse")
    return transfer(moments.powers[both], kinds[both] == "chorus").tone_db


def curves_figure(name: str, curves_db: Floats) -> str:
    """All runs thin, their median thick."""
    x = linear((math.log2(TONE_HZ[0]), math.log2(TONE_HZ[-1])), FRAME.x)
    y = linear((-RANGE_DB, RANGE_DB), FRAME.y)
    bottom, top = FRAME.y

    def curve(levels_db: Floats, class_: str) -> str:
        held = np.clip(levels_db, -RANGE_DB, RANGE_DB)
        points = zip(TONE_HZ.tolist(), held.tolist(), strict=True)
        return path([(x(math.log2(hz)), y(level)) for hz, level in points], class_)

    title = song_truth(name).title
    parts = [tag("style", STYLE), rect(0.0, 0.0, FRAME.width, FRAME.height, "paper")]
    parts += [words(f"{title}: refrains beside verses", FRAME.left, 16.0, "name")]
    parts += level_axis(FRAME, y, (-4.0, -2.0, 0.0, 2.0, 4.0), "dB")
    for hz, label in PLACES_HZ:
        at = x(math.log2(hz))
        parts += [line(at, bottom, at, bottom + 4, "tick"), words(label, at, bottom + 15, "axis", "middle")]
    for hz, label in PLANTED[name]:
        at = x(math.log2(hz))
        parts += [line(at, bottom, at, top, "planted"), words(label, at + 4, top + 10, "axis")]
    parts += [*(curve(one, "run") for one in curves_db), curve(np.median(curves_db, axis=0), "middle")]
    return figure(FRAME, f"Tone of refrains beside verses in {title}, {len(curves_db)} runs, median", parts)
