"""The row of a small change: how soon the first second of it is heard, and then ten, at three places."""

from __future__ import annotations

from contextlib import ExitStack
from dataclasses import replace
from itertools import count

from arsis.plan.codec import read_song
from arsis.plan.model import Song
from arsis.render.opening import open_source
from arsis.render.stretch import Stretch
from arsis.render.words import Word
from arsis.settings import Bell

from .rows import Row
from .song import RATE_HZ, Material
from .timing import Cost, of_call

STRETCH_S = 10.0
HEARD_S = (1.0, STRETCH_S)
MOST_S = 0.020
CHANGED_PASS = "A"  # heard at all three places


def edit_rows(material: Material) -> tuple[Row, ...]:
    """Two rows a place."""
    middle = material.seconds / 2.0
    places = (("start", 0.0), ("middle", middle), ("end", material.seconds - STRETCH_S))
    return tuple(_edit_row(material, name, at_s, heard_s) for name, at_s in places for heard_s in HEARD_S)


def _edit_row(material: Material, name: str, at_s: float, heard_s: float) -> Row:
    stack = ExitStack()
    song = read_song(material.plan)
    source = open_source(song, material.plan.parents[1], stack)
    start = round(at_s * RATE_HZ)
    frames = round(heard_s * RATE_HZ)
    gains_db = count(1)

    def again() -> Cost:
        changed = replace(source, song=_changed(song, 0.01 * next(gains_db)))
        return of_call(lambda: Stretch(changed, Word(24), start, start + frames).read(frames))

    return Row(
        f"one band of one pass changed, {heard_s:g} s heard at the song's {name}",
        again,
        most_wall_s=MOST_S,
    )


def _changed(song: Song, gain_db: float) -> Song:
    treatment = song.pass_[CHANGED_PASS]
    first, *others = treatment.chain
    assert isinstance(first, Bell)
    chain = (replace(first, gain_db=gain_db), *others)
    return replace(song, pass_={**song.pass_, CHANGED_PASS: replace(treatment, chain=chain)})
