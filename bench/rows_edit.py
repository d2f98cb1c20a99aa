"""The row of a small change: how soon ten seconds of a print can be heard again, at three places."""

from __future__ import annotations

from contextlib import ExitStack
from dataclasses import replace
from itertools import cycle

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
MOST_S = 0.020
CHANGED_PASS = "A"  # heard at all three places


def edit_rows(material: Material) -> tuple[Row, ...]:
    """One row a place; each has its own renderer, which has heard the song up to there once."""
    middle = material.seconds / 2.0
    places = (("start", 0.0), ("middle", middle), ("end", material.seconds - STRETCH_S))
    return tuple(_edit_row(material, name, at_s) for name, at_s in places)


def _edit_row(material: Material, name: str, at_s: float) -> Row:
    stack = ExitStack()
    song = read_song(material.plan)
    source = open_source(song, material.plan.parents[1], stack)
    stretch = Stretch(source, Word(24))
    start, end = round(at_s * RATE_HZ), round((at_s + STRETCH_S) * RATE_HZ)
    gains_db = cycle((0.4, 0.8, 1.2, 1.6))

    def again() -> Cost:
        changed = _changed(song, next(gains_db))
        return of_call(lambda: stretch.words(changed, start, end))

    def whole_song_first() -> Cost:
        stretch.words(song, 0, source.mix.info.frames)
        return again()

    runs = iter((whole_song_first,))
    return Row(
        f"one band of one pass changed, {STRETCH_S:g} s again at the song's {name}",
        lambda: next(runs, again)(),
        most_wall_s=MOST_S,
    )


def _changed(song: Song, gain_db: float) -> Song:
    treatment = song.pass_[CHANGED_PASS]
    first, *others = treatment.chain
    assert isinstance(first, Bell)
    chain = (replace(first, gain_db=gain_db), *others)
    return replace(song, pass_={**song.pass_, CHANGED_PASS: replace(treatment, chain=chain)})
