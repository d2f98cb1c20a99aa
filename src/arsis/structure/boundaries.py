"""Where sections start: the cut into blocks that are alike inside, and how sure each cut is.

Marmoret, Cohen and Bimbot, Barwise Music Structure Analysis with the Correlation Block-Matching
Segmentation Algorithm, TISMIR 6(1) (2023): eq. 9 (score of a block, band kernel), eq. 13 (penalty for
irregular lengths), solved exactly by dynamic programming. Band and weight measured on composed songs.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from .bars import Bars
from .features import FRAME_S, Features
from .running import Array, means_between, power_db, step_size
from .units import Units

Cuts = NDArray[np.int_]

BAND = 15  # units apart at which two units of one section still should be alike
LONGEST = 36  # units
REGULAR = 0.8  # weight of the penalty for irregular lengths
STARTS, OFTEN = 0.2, 2.0  # weight of the evidence for a start, and what is added to its log odds
MOST_ODDS = 4.0  # log odds beyond this count as this: one clear start does not buy an odd length elsewhere
VOTES = 0.5  # share of the section starts that must agree to move all downbeats
CLEARER = 1.25  # and how much larger their level steps must be
UNLIKELY = 0.6  # how much less evidence of their own the downbeats may have where they are moved to
RISE_DB, RISE_STEADY = 2.5, 0.7  # growth of a rise, and the share of its variance on a straight line
COUNT_IN_DB = 6.0
RING_UNITS, RINGING = 3, 0.35  # the longest ring, and how many of the onsets before it may be left in it
RISE_UNITS = 4  # the most that two parts of one rise have each

# Logistic weights of the confidence, fitted to whether a found cut lay within 0.5 s of a true start of the
# songs of the evidence, real ones counting four times: there fewer are right, and what is shown should hold
# of both (the network fitted without the song, of those over 0.8: 208 of 225 on real songs, 98 % on others).
CLEAR_WEIGHT, REGULAR_WEIGHT, SURE_BIAS = 0.40, 0.40, -0.23
CLEAREST = 6.0  # log odds beyond this count as this


def find_cuts(similar: Array, log_odds: Array, bars: bool) -> Cuts:
    """Unit indices of the section starts, from 0 to len(similar) inclusive.

    `log_odds`: of each unit, whether a section starts with it. `bars`: the units are bars, of which regular
    numbers are likelier; else every length costs the same.
    """
    count = len(similar)
    score = _block_scores(similar)
    reach = min(LONGEST, count)
    eight = np.diagonal(score, 8) if count > 8 else np.ones(1)
    lengths = np.arange(reach + 1)
    irregular = _irregularity(lengths) if bars else np.full(reach + 1, 0.5)
    scale = max(float(eight.max()) / 8.0, 1e-3)
    cost = REGULAR * scale * (irregular + _shortness(lengths))
    gain = STARTS * scale * (np.clip(log_odds, -MOST_ODDS, MOST_ODDS) + OFTEN)
    gain = np.append(gain, 0.0)  # the end of the song
    best, came = np.full(count + 1, -np.inf), np.zeros(count + 1, int)
    best[0] = 0.0
    for stop in range(1, count + 1):
        starts = np.arange(max(0, stop - reach), stop)
        value = best[starts] + score[starts, stop] - cost[stop - starts] + gain[stop]
        pick = int(value.argmax())
        best[stop], came[stop] = value[pick], starts[pick]
    cuts = [count]
    while cuts[-1] > 0:
        cuts.append(int(came[cuts[-1]]))
    return np.array(cuts[::-1])


def _block_scores(similar: Array) -> Array:
    """[start, stop]: sum of the off-diagonal band inside the block, over its length."""
    count = len(similar)
    edge = np.arange(count + 1)
    length = edge[None, :] - edge[:, None]
    score = np.zeros((count + 1, count + 1))
    for lag in range(1, min(BAND, count - 1) + 1):
        sums = np.concatenate([[0.0], np.cumsum(np.diagonal(similar, lag))])
        starts = sums[np.minimum(edge, count - lag)]
        stops = sums[np.clip(edge - lag, 0, count - lag)]
        score += np.where(length > lag, 2.0 * (stops[None, :] - starts[:, None]), 0.0)
    return np.asarray(score / np.maximum(length, 1))


def _irregularity(length: NDArray[np.int_]) -> Array:
    """0 for eight units, then 1/4 for other multiples of four, 1/2 for even numbers, 1 for odd."""
    other = np.where(length % 4 == 0, 0.25, np.where(length % 2 == 0, 0.5, 1.0))
    return np.where(length == 8, 0.0, other)


def _shortness(length: NDArray[np.int_]) -> Array:
    """Half as much as an odd number for less than four units, twice that for one."""
    return 0.5 * (length < 4) + 0.5 * (length < 2)


def is_rise(loudness: Array) -> bool:
    """Whether the units grow steadily louder, by RISE_DB from the first to the last."""
    if len(loudness) < 2:
        return False
    place = np.arange(len(loudness)) - 0.5 * (len(loudness) - 1)
    slope = float(place @ loudness) / float(place @ place)
    straight = slope * place
    explained = float(straight @ straight) / float(((loudness - loudness.mean()) ** 2).sum() + 1e-9)
    return slope * (len(loudness) - 1) >= RISE_DB and explained >= RISE_STEADY


def join_rises(cuts: Cuts, loudness: Array) -> Cuts:
    """Cuts without those inside a rise: its bars are unlike each other, and still one section."""
    kept = [int(cuts[0])]
    for cut, after in pairwise(cuts[1:]):
        short = cut - kept[-1] <= RISE_UNITS and after - cut <= RISE_UNITS
        if not (short and is_rise(loudness[kept[-1] : after])):
            kept.append(int(cut))
    return np.array([*kept, int(cuts[-1])])


def join_ends(cuts: Cuts, units: Units) -> Cuts:
    """Cuts without one that only parts a count-in from the song, or the ring of its last chord.

    A count-in is one unit that is much quieter than the next; in a ring nothing is struck any more.
    """
    kept = cuts
    if len(kept) > 2 and kept[1] == 1 and units.loudness[0] < units.loudness[1] - COUNT_IN_DB:
        kept = np.delete(kept, 1)
    struck = units.density.sum(axis=1)
    if len(kept) > 2 and kept[-1] - kept[-2] <= RING_UNITS:
        before, after = struck[kept[-3] : kept[-2]], struck[kept[-2] : kept[-1]]
        if after.mean() < RINGING * before.mean():
            kept = np.delete(kept, -2)
    return kept


def downbeat_shift(features: Features, bars: Bars, starts_s: Array) -> int:
    """By how many beats all downbeats should move, as the level steps around the found starts have it."""
    beats, metre = bars.beats_s, bars.metre
    step = _beat_steps(features, beats)
    votes, wins, voters = np.zeros(2 * metre - 1), np.zeros(2 * metre - 1), 0
    for start_s in starts_s:
        beat = int(np.abs(beats - start_s).argmin())
        if beat < metre or beat + metre > len(beats):
            continue
        around = step[beat - metre + 1 : beat + metre]
        votes += around / (around.max() + 1e-9)
        wins[int(around.argmax())] += 1.0
        voters += 1
    if voters < 2:
        return 0
    phase = (np.arange(2 * metre - 1) + 1) % metre
    size, share = np.zeros(metre), np.zeros(metre)
    np.maximum.at(size, phase, votes / voters)
    np.add.at(share, phase, wins / voters)
    best = int(size.argmax())
    clear = size[best] > CLEARER * size[0] and share[best] >= VOTES and share[best] > 1.8 * share[0]
    # A fill before the bar line is a step too, but nothing else speaks for it.
    return best if clear and bars.looks(best) > bars.looks(0) - UNLIKELY else 0


def _beat_steps(features: Features, beats_s: Array) -> Array:
    edges = np.append(beats_s, 2.0 * beats_s[-1] - beats_s[-2])
    bands = np.hstack([features.bands, features.loudness[:, None]])
    level = np.hstack(
        [
            power_db(means_between(features.mel, FRAME_S, edges), 1e-9),
            2.0 * power_db(means_between(bands, FRAME_S, edges), 1e-9),
        ]
    )
    level = np.clip(level, np.percentile(level, 2, axis=0), None)
    level = (level - level.mean(axis=0)) / np.maximum(level.std(axis=0), 1.5)
    return step_size(level, 4) * step_size(level, 2)


def confidence(log_odds: Array, cuts: Cuts) -> Array:
    """Probability of each inner cut to be right, (cuts - 2,).

    What speaks for a start there, and for the song's starts on the mean; and of its two sections, how many
    are a multiple of four units long.
    """
    if len(cuts) < 3:
        return np.zeros(0)
    clear = np.clip(log_odds[cuts[1:-1]], -CLEAREST, CLEAREST)
    regular = (np.diff(cuts) % 4 == 0).astype(float)
    sure = CLEAR_WEIGHT * (clear + clear.mean()) + REGULAR_WEIGHT * (regular[:-1] + regular[1:]) + SURE_BIAS
    return np.asarray(1.0 / (1.0 + np.exp(-sure)))
