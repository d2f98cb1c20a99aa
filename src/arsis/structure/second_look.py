"""A second look at where sections start, at each unit in the light of the whole song.

The curves of `evidence` see a few units around, and give first odds. Here a small network weighs with them
what else starts nearby (one of some neighbours is the start), a regular number of units away, and where
music like this comes again (what returns starts as it did before), and how near the ends of the song are.

One hidden layer (Rumelhart, Hinton and Williams, Learning Representations by Back-propagating Errors, 1986).
That the surroundings of a start tell more than its moment: Ullrich, Schlüter and Grill, Boundary Detection
in Music Structure Analysis Using Convolutional Neural Networks (2014). Its weights stand in second_look.json,
which bench/form/fit.py writes.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np

from .running import Array

NEIGHBOURS = (1, 2, 3)  # units away, on either side
REGULAR = (4, -4, 8, -8, 16, -16)  # units away: later, earlier
AHEAD = (4, 8)  # units over which two places are compared
ELSEWHERE = 4  # units: what is nearer is no return
ALIKE = 2.0  # how much more a place counts that is liker by a deviation
OUTSIDE = -6.0  # log odds of a start beyond the ends
LARGEST = 4.0  # deviations: what is further out counts as this


@dataclass(frozen=True, slots=True)
class Network:
    """mean, deviation (rows,) of what comes in; hidden (rows, n), bias (n,), out (n,), straight (rows,)."""

    mean: Array
    deviation: Array
    hidden: Array
    bias: Array
    out: Array
    straight: Array
    intercept: float

    def log_odds(self, rows: Array) -> Array:
        """(units,) of rows (units, rows)."""
        scaled = np.clip((rows - self.mean) / self.deviation, -LARGEST, LARGEST)
        bent = np.tanh(scaled @ self.hidden + self.bias)
        return np.asarray(bent @ self.out + scaled @ self.straight + self.intercept)


@cache
def network() -> Network:
    """The one that was fitted."""
    weights = json.loads(Path(__file__).with_suffix(".json").read_text(encoding="utf-8"))
    intercept = float(weights.pop("intercept"))
    return Network(**{name: np.array(values) for name, values in weights.items()}, intercept=intercept)


def start_log_odds(curves: Array, own_odds: Array, likeness: Array, length_s: float) -> Array:
    """Of each unit, whether a section starts with it, (units,); arguments as for `rows_of`."""
    return network().log_odds(rows_of(curves, own_odds, likeness, length_s))


def rows_of(curves: Array, odds: Array, likeness: Array, length_s: float) -> Array:
    """What the network is given, (units, 28). odds: by a unit's own curves; length_s: of a unit."""
    count = len(odds)
    unit = np.arange(float(count))
    likely = float((1.0 / (1.0 + np.exp(-odds))).mean())
    columns = [curves, odds]
    columns += [np.maximum(_shifted(odds, away), _shifted(odds, -away)) for away in NEIGHBOURS]
    columns += [_shifted(odds, away) for away in REGULAR]
    for reach in AHEAD:
        returned = _where_it_returns(odds, likeness, reach)
        around = np.maximum(_shifted(returned, 1), _shifted(returned, -1))
        columns += [returned, returned - around]
    columns += [unit, count - unit, np.full(count, length_s), np.full(count, likely)]
    return np.column_stack(columns)


def _shifted(odds: Array, away: int) -> Array:
    """The odds of the unit that is so many later."""
    at = np.arange(len(odds)) + away
    inside = (at >= 0) & (at < len(odds))
    return np.where(inside, odds[np.clip(at, 0, len(odds) - 1)], OUTSIDE)


def _where_it_returns(odds: Array, likeness: Array, reach: int) -> Array:
    """Mean odds of the units elsewhere, each by how like what follows it is to what follows here."""
    count = len(odds)
    scaled = (likeness - likeness.mean()) / (likeness.std() + 1e-9)
    sums, pairs = np.zeros((count, count)), np.zeros((count, count))
    for step in range(min(reach, count)):
        sums[: count - step, : count - step] += scaled[step:, step:]
        pairs[: count - step, : count - step] += 1.0
    unit = np.arange(count)
    far = np.abs(unit[:, None] - unit) >= ELSEWHERE
    weight = np.where(far, np.exp(np.minimum(ALIKE * sums / pairs, 2.0 * LARGEST)), 0.0)
    return np.asarray(weight @ odds / (weight.sum(axis=1) + 1e-9))
