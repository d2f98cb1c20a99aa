"""`python bench/form/fit.py`: the weights of `arsis.structure.evidence`, fitted anew to songs that are seen.

Prints the weights and their intercept, and of each list the area under the curve on songs left out of the
fit, a fifth at a time. Takes some minutes: the demo's, the corpus's and 56 songs by chance are played for it.
(The weights in the code were fitted to the nine songs of tests/test_structure.py as well.)
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from arsis.audio import Block
from arsis.demo.songs import SCORES
from arsis.demo.songs import perform as perform_demo
from arsis.io.read import open_sound
from arsis.structure import FeatureStream
from arsis.structure.evidence import start_curves
from arsis.structure.find import _heard
from bench.corpus import SCORES as CORPUS
from bench.form.chance import chance_song
from bench.form.library import song_path
from bench.form.play import RATE_HZ, perform, truth_of
from bench.form.real import sound_of
from bench.form.real_seen import REAL_SEEN
from bench.form.seen import SEEN

Array = NDArray[np.float64]

CHANCE = 56
COUNTS = {"seen": 1.0, "real": 1.3, "demo": 0.7, "chance": 0.5}  # what a unit of each list counts
SCORE_S, PICTURE_S = 0.5, 1.2  # how near a start lies the unit that starts with it
NEAR_S = 2.0  # around a start read from a picture the other units say nothing
RIDGE, FOLDS = 1.0, 5


@dataclass(frozen=True, slots=True)
class Example:
    """A song's curves (units, n), whether a section starts with each unit, and what it counts."""

    group: str
    curves: Array
    starts: Array
    counts: Array


def example(
    group: str,
    sound: Block,
    rate_hz: int,
    starts_s: tuple[float, ...],
    spare_s: tuple[float, ...] = (),
    exact: bool = True,
) -> Example:
    """`exact`: the starts are known and not read from pictures. spare_s: starts that may as well be none."""
    stream = FeatureStream(rate_hz, sound.shape[0])
    stream.add(sound)
    view = _heard(stream.result())[3]
    edges = view.units.edges_s[:-1]
    starts, counts = np.zeros(len(edges)), np.full(len(edges), COUNTS[group])
    for start in starts_s[1:]:
        away = np.abs(edges - start)
        if not exact:
            counts[away < NEAR_S] = 0.0
        if away.min() <= (SCORE_S if exact else PICTURE_S):
            starts[away.argmin()], counts[away.argmin()] = 1.0, COUNTS[group]
    for start in spare_s:
        counts[(np.abs(edges - start) < SCORE_S) & (starts == 0.0)] = 0.0
    counts[0] = 0.0
    return Example(group, start_curves(view.units, view.similar), starts, counts)


def examples() -> Iterator[Example]:
    """Every song that may be seen."""
    for score in SEEN:
        yield example("seen", *_read(song_path(score)), truth_of(score).starts_s)
    for number in range(CHANCE):
        score = chance_song(number)
        yield example("chance", perform(score), RATE_HZ, truth_of(score).starts_s)
    for written in (*SCORES.values(), *CORPUS.values()):
        song = perform_demo(written)
        starts_s = tuple(section.start_s for section in song.sections)
        yield example("demo", song.mix / 2.0**23, song.rate_hz, starts_s)
    for real in REAL_SEEN:
        sound, rate_hz = _read(sound_of(real))
        form, spare_s = real.truth(sound.shape[1] / rate_hz)
        yield example("real", sound, rate_hz, form.starts_s, spare_s, real.is_score)


def _read(path: Path) -> tuple[Block, int]:
    with open_sound(path) as file:
        return file.read(file.info.frames), file.info.rate_hz


def fitted(songs: list[Example]) -> Array:
    """Logistic weights, the intercept last."""
    curves = np.vstack([song.curves for song in songs])
    starts, counts = (
        np.concatenate([getattr(song, name) for song in songs]) for name in ("starts", "counts")
    )

    def loss(weights: Array) -> tuple[float, Array]:
        odds = curves @ weights[:-1] + weights[-1]
        value = (counts * (np.logaddexp(0.0, odds) - starts * odds)).sum() + RIDGE * (weights[:-1] ** 2).sum()
        slope = counts * (1.0 / (1.0 + np.exp(-odds)) - starts)
        return float(value), np.append(curves.T @ slope + 2.0 * RIDGE * weights[:-1], slope.sum())

    return np.asarray(minimize(loss, np.zeros(curves.shape[1] + 1), jac=True, method="L-BFGS-B").x)


def area(odds: Array, starts: Array) -> float:
    """Under the curve: how often a start has more odds than a unit that is none."""
    rank = np.empty(len(odds))
    rank[np.argsort(odds)] = np.arange(len(odds))
    found = starts > 0.0
    return float((rank[found].mean() - 0.5 * (found.sum() - 1)) / (~found).sum())


def main() -> int:
    songs = list(examples())
    fold = np.random.default_rng(0).permutation(len(songs)) % FOLDS
    left_out: dict[str, list[tuple[Array, Array]]] = {group: [] for group in COUNTS}
    for number in range(FOLDS):
        weights = fitted([song for song, at in zip(songs, fold, strict=True) if at != number])
        for song in (song for song, at in zip(songs, fold, strict=True) if at == number):
            kept = song.counts > 0.0
            odds = song.curves[kept] @ weights[:-1] + weights[-1]
            left_out[song.group].append((odds, song.starts[kept]))
    for group, rows in left_out.items():
        odds, starts = (np.concatenate(column) for column in zip(*rows, strict=True))
        print(f"{group}: area under the curve {area(odds, starts):.3f}, {len(rows)} songs left out in turn")
    weights = fitted(songs)
    print("WEIGHTS", np.round(weights[:-1], 2).tolist(), "BIAS", round(float(weights[-1]), 2))
    return 0


if __name__ == "__main__":
    sys.exit(main())
