"""`SONGS=nudge make bench-form`: how many starts one nudge puts right, of songs whose bars are known.

The true bars are put half a bar off, or halved, or doubled, each start goes where a finder with such bars
would have it, and the nudge is asked for. The songs keep one even metre: seen ones of the corpus, the demo's
three, and four of `tests/songs.py`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from arsis.audio import Block
from arsis.demo.songs import SONGS, make_song
from arsis.io.read import open_sound
from arsis.structure import Features, FeatureStream, Grid, nearest_downbeat, nudged_grid, nudged_starts
from arsis.structure.nudge import Nudge
from tests.songs import BREAKDOWN, LONG_VERSE, PLAIN, POP
from tests.songs import make_song as small_song

from .library import song_path
from .play import truth_of
from .seen import SEEN

RIGHT_S = 0.08
WAYS = ("all later", "all earlier", "three in four later", "tempo at half", "tempo at double")


@dataclass(frozen=True, slots=True)
class Barred:
    """A song with its true bars and starts; the first start is that of the file."""

    name: str
    features: Features
    grid: Grid
    starts_s: tuple[float, ...]


def barred_songs() -> Iterator[Barred]:
    """Songs in an even metre that keep a beat."""
    for score in SEEN:
        if score.free or (score.steps, score.beat) not in ((16, 4), (12, 6)):
            continue
        truth = truth_of(score)
        with open_sound(song_path(score)) as file:
            features = _heard(file.read(file.info.frames), file.info.rate_hz)
        beats, down = np.array(truth.beats_s), np.array(truth.downbeats_s)
        grid = Grid(score.bpm, beats, np.searchsorted(beats, down - 1e-6), score.steps // score.beat)
        yield Barred(score.name, features, grid, truth.starts_s)
    for name in SONGS:
        song = make_song(name)
        down = np.array(song.truth.downbeats_s)
        beats = np.interp(np.arange(4 * len(down) - 3) / 4.0, np.arange(len(down)), down)
        starts = tuple(section.start_s for section in song.truth.sections)
        grid = Grid(song.truth.tempo_bpm, beats, 4 * np.arange(len(down)), 4)
        yield Barred(name, _heard(song.mix / 2.0**23, song.rate_hz), grid, starts)
    for name, form in (("pop", POP), ("long verse", LONG_VERSE), ("plain", PLAIN), ("breakdown", BREAKDOWN)):
        made = small_song(120.0, form)
        grid = Grid(made.tempo_bpm, made.beats_s, 4 * np.arange(len(made.downbeats_s)), 4)
        starts = tuple(float(start) for start in made.starts_s)
        yield Barred(name, _heard(made.sound, made.rate_hz), grid, starts)


def _heard(sound: Block, rate_hz: int) -> Features:
    stream = FeatureStream(rate_hz, sound.shape[0])
    stream.add(sound)
    return stream.result()


def nudged_right(song: Barred) -> dict[str, tuple[int, int]]:
    """For each of WAYS, how many starts are right after the nudge, and of how many."""
    grid = song.grid
    wrong = nudged_grid(grid, "half-bar")
    down = wrong.downbeats_s
    inner = [s for s in song.starts_s[1:] if down[0] < s - RIGHT_S and s + RIGHT_S < down[-1]]
    later = [float(down[down > start + RIGHT_S][0]) for start in inner]
    earlier = [float(down[down < start - RIGHT_S][-1]) for start in inner]
    mixed = [
        early if at % 4 == 3 else late for at, (late, early) in enumerate(zip(later, earlier, strict=True))
    ]
    right, slow = nudged_grid(wrong, "half-bar"), nudged_grid(grid, "half", inner)
    snapped = [nearest_downbeat(slow, start) for start in inner]
    tries: tuple[tuple[Grid, Sequence[float], Nudge], ...] = (
        (right, later, "half-bar"),
        (right, earlier, "half-bar"),
        (right, mixed, "half-bar"),
        (nudged_grid(slow, "double"), snapped, "double"),
        (nudged_grid(nudged_grid(grid, "double"), "half", inner), inner, "half"),
    )
    found = {}
    for way, (bars, off, how) in zip(WAYS, tries, strict=True):
        moved = nudged_starts(song.features, bars, [0.0, *off], how)[1:]
        away = np.abs(np.array(moved) - np.array(inner))
        found[way] = int((away <= RIGHT_S).sum()), len(inner)
    return found


def nudged_lines() -> Iterator[str]:
    """A line a song and the sums."""
    sums = {way: [0, 0] for way in WAYS}
    yield f"{'song':<16}" + "".join(f"{way:>22}" for way in WAYS)
    for song in barred_songs():
        found = nudged_right(song)
        for way, (right, count) in found.items():
            sums[way][0] += right
            sums[way][1] += count
        yield f"{song.name:<16}" + "".join(f"{f'{right}/{count}':>22}" for right, count in found.values())
    yield f"{'all':<16}" + "".join(f"{f'{right}/{count}':>22}" for right, count in sums.values())
