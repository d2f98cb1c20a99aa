"""`python bench/form/fit.py`: what says where sections start, fitted anew to songs that are seen.

Prints the weights of `arsis.structure.evidence` and their intercept, writes the network of `second_look` to
its file, and says of each list how good both are on songs left out of the fit, a fifth at a time. Takes some
ten minutes: the demo's, the corpus's and 120 songs by chance are played for it.
"""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
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
from arsis.structure import FeatureStream, second_look
from arsis.structure.evidence import start_curves
from arsis.structure.features import Features
from arsis.structure.find import _heard
from arsis.structure.second_look import LARGEST, Network, rows_of
from bench.corpus import SCORES as CORPUS
from bench.form.chance import chance_song
from bench.form.library import song_path
from bench.form.play import RATE_HZ, perform, truth_of
from bench.form.real import sound_of
from bench.form.real_seen import REAL_SEEN
from bench.form.seen import SEEN

Array = NDArray[np.float64]

CHANCE = 120
COUNTS = {"seen": 1.0, "score": 1.5, "recording": 1.8, "demo": 0.7, "chance": 0.4}  # what a unit counts
NEAR = 0.75  # units from a start at which one may be said to start with it
BESIDE = 1.5  # and within which others say nothing in a recording: its bars may be found half a bar off
RIDGE, FOLDS = 1.0, 5
HIDDEN, DECAY, ROUNDS = 8, 10.0, 200
DIGITS = 4  # of the weights that are kept


@dataclass(frozen=True, slots=True)
class Example:
    """A song's curves (units, n), whether a section starts with each unit, what each counts; how like each
    other the units are, and how long."""

    group: str
    curves: Array
    starts: Array
    counts: Array
    likeness: Array
    length_s: float

    def rows(self, first: Array) -> Array:
        """What the network is given, after the first weights."""
        return rows_of(self.curves, self.curves @ first[:-1] + first[-1], self.likeness, self.length_s)


def example(
    group: str, features: Features, starts_s: tuple[float, ...], spare_s: tuple[float, ...] = ()
) -> Example:
    """A song that was listened to. spare_s: starts that may as well be none."""
    view = _heard(features)[3]
    edges = view.units.edges_s[:-1]
    length_s = float(np.median(np.diff(view.units.edges_s)))
    starts, counts = np.zeros(len(edges)), np.full(len(edges), COUNTS[group])
    away = [np.abs(edges - start) / length_s for start in starts_s[1:]]
    for units in away:
        if units.min() <= NEAR:
            starts[units.argmin()] = 1.0
    beside = np.min(away, axis=0) < BESIDE if away and group == "recording" else np.zeros(len(edges), bool)
    for start in spare_s:
        beside |= np.abs(edges - start) < NEAR * length_s
    counts[beside & (starts == 0.0)] = 0.0
    counts[0] = 0.0
    curves = start_curves(view.units, view.similar)
    return Example(group, curves, starts, counts, view.similar.mean, length_s)


def examples() -> Iterator[Example]:
    """Every song that may be seen."""
    for score in SEEN:
        yield example("seen", _listened(*_read(song_path(score))), truth_of(score).starts_s)
    for number in range(CHANCE):
        score = chance_song(number)
        yield example("chance", _listened(perform(score), RATE_HZ), truth_of(score).starts_s)
    for written in (*SCORES.values(), *CORPUS.values()):
        song = perform_demo(written)
        starts_s = tuple(section.start_s for section in song.sections)
        yield example("demo", _listened(song.mix / 2.0**23, song.rate_hz), starts_s)
    for real in REAL_SEEN:
        features = _listened(*_read(sound_of(real)))
        form, spare_s = real.truth(features.duration_s)
        yield example("score" if real.is_score else "recording", features, form.starts_s, spare_s)


def _read(path: Path) -> tuple[Block, int]:
    with open_sound(path) as file:
        return file.read(file.info.frames), file.info.rate_hz


def _listened(sound: Block, rate_hz: int) -> Features:
    stream = FeatureStream(rate_hz, sound.shape[0])
    stream.add(sound)
    return stream.result()


def stacked(songs: Sequence[Example]) -> tuple[Array, Array]:
    """Starts and counts of all units of the songs."""
    return np.concatenate([song.starts for song in songs]), np.concatenate([song.counts for song in songs])


def first_fitted(songs: Sequence[Example]) -> Array:
    """Logistic weights of the curves, the intercept last."""
    curves = np.vstack([song.curves for song in songs])
    starts, counts = stacked(songs)

    def loss(weights: Array) -> tuple[float, Array]:
        odds = curves @ weights[:-1] + weights[-1]
        value = (counts * (np.logaddexp(0.0, odds) - starts * odds)).sum() + RIDGE * (weights[:-1] ** 2).sum()
        slope = counts * (1.0 / (1.0 + np.exp(-odds)) - starts)
        return float(value), np.append(curves.T @ slope + 2.0 * RIDGE * weights[:-1], slope.sum())

    return np.asarray(minimize(loss, np.zeros(curves.shape[1] + 1), jac=True, method="L-BFGS-B").x)


def network_fitted(songs: Sequence[Example], first: Array) -> Network:
    """The network that is given the rows of these songs."""
    rows = np.vstack([song.rows(first) for song in songs])
    starts, counts = stacked(songs)
    mean, deviation = rows.mean(axis=0), rows.std(axis=0) + 1e-6
    rows = np.clip((rows - mean) / deviation, -LARGEST, LARGEST)
    width = rows.shape[1]
    shapes = ((width, HIDDEN), (HIDDEN,), (HIDDEN,), (width,), (1,))
    ends = np.cumsum([int(np.prod(shape)) for shape in shapes])

    def parts(flat: Array) -> list[Array]:
        return [part.reshape(shape) for part, shape in zip(np.split(flat, ends[:-1]), shapes, strict=True)]

    def loss(flat: Array) -> tuple[float, Array]:
        hidden, bias, out, straight, intercept = parts(flat)
        bent = np.tanh(rows @ hidden + bias)
        odds = bent @ out + rows @ straight + intercept
        size = sum(float((part**2).sum()) for part in (hidden, out, straight))
        value = (counts * (np.logaddexp(0.0, odds) - starts * odds)).sum() + DECAY * size
        slope = counts * (1.0 / (1.0 + np.exp(-odds)) - starts)
        back = slope[:, None] * out * (1.0 - bent**2)
        slopes = (
            (rows.T @ back + 2.0 * DECAY * hidden).ravel(),
            back.sum(axis=0),
            bent.T @ slope + 2.0 * DECAY * out,
            rows.T @ slope + 2.0 * DECAY * straight,
            [slope.sum()],
        )
        return float(value), np.concatenate(slopes)

    rng = np.random.default_rng(0)
    start = np.concatenate(
        [
            rng.normal(0.0, width**-0.5, width * HIDDEN),
            np.zeros(HIDDEN),
            rng.normal(0.0, 0.3, HIDDEN),
            np.zeros(width + 1),
        ]
    )
    best = minimize(loss, start, jac=True, method="L-BFGS-B", options={"maxiter": ROUNDS}).x
    hidden, bias, out, straight, intercept = (np.round(part, DIGITS) for part in parts(best))
    mean, deviation = np.round(mean, DIGITS), np.round(deviation, DIGITS)
    return Network(mean, deviation, hidden, bias, out, straight, float(intercept[0]))


def left_out(songs: Sequence[Example]) -> Iterator[tuple[Example, Array, Array]]:
    """Each song with its first odds and the network's, both fitted without it."""
    fold = np.random.default_rng(0).permutation(len(songs)) % FOLDS
    for number in range(FOLDS):
        others = [song for song, at in zip(songs, fold, strict=True) if at != number]
        first = first_fitted(others)
        network = network_fitted(others, first)
        for song in (song for song, at in zip(songs, fold, strict=True) if at == number):
            yield song, song.curves @ first[:-1] + first[-1], network.log_odds(song.rows(first))


def area(odds: Array, starts: Array) -> float:
    """Under the curve: how often a start has more odds than a unit that is none."""
    rank = np.empty(len(odds))
    rank[np.argsort(odds)] = np.arange(len(odds))
    found = starts > 0.0
    return float((rank[found].mean() - 0.5 * (found.sum() - 1)) / (~found).sum())


def surprise(odds: Array, starts: Array) -> float:
    """Mean of minus the log of the probability of what is so."""
    return float((np.logaddexp(0.0, odds) - starts * odds).mean())


def main() -> int:
    songs = list(examples())
    rows = list(left_out(songs))
    for group in COUNTS:
        of = [(song.counts > 0.0, song.starts, *odds) for song, *odds in rows if song.group == group]
        starts, first, second = (np.concatenate([row[at][row[0]] for row in of]) for at in range(1, 4))
        said = (
            f"area {area(odds, starts):.3f}, surprise {surprise(odds, starts):.3f}"
            for odds in (first, second)
        )
        print(f"{group}, {len(of)} songs left out in turn: {', by the network '.join(said)}")
    weights = np.round(first_fitted(songs), 2)
    print("WEIGHTS", weights[:-1].tolist(), "BIAS", float(weights[-1]))
    kept = {
        name: np.asarray(value).tolist() for name, value in asdict(network_fitted(songs, weights)).items()
    }
    path = Path(second_look.__file__).with_suffix(".json")
    lines = ",\n".join(f'"{name}": {json.dumps(values)}' for name, values in kept.items())
    path.write_text(f"{{\n{lines}\n}}\n", encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
