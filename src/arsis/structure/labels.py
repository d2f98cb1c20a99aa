"""Which sections are the same music: the probability of each pair, then average-linkage clustering."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from .alignment import best_alignments, in_other_keys
from .boundaries import Cuts
from .running import Array, step_size
from .similarity import Similarity, ranks

SAME = 0.5  # mean probability at which two clusters are one
SHORTEST_USUAL, LEAST_OVER = 6, 4  # units: by what length a run is cut, and the least that may be left over
LEAST_STEP = 0.3  # of the level, about unit scale
RAISED = 0.97  # the rank of a harmony that is the same in another key

# Logistic weights of pair_evidence and their intercept: fitted to the labels of eighteen composed songs.
PAIR_WEIGHTS = np.array([2.59, 1.74, 1.79, -1.98, -1.58, -0.09])
PAIR_BIAS = -3.69


def label_sections(similar: Similarity, cuts: Cuts) -> NDArray[np.int_]:
    """A number for each section, counted in order of first appearance."""
    evidence = pair_evidence(similar, cuts)
    same = 1.0 / (1.0 + np.exp(-np.clip(evidence @ PAIR_WEIGHTS + PAIR_BIAS, -30.0, 30.0)))
    return _cluster(same)


def split_runs(similar: Similarity, cuts: Cuts, labels: NDArray[np.int_]) -> tuple[Cuts, NDArray[np.int_]]:
    """Cuts and labels where a letter that comes twice or more in a row is cut as long as it is elsewhere.

    What was one section is only cut where the level has a step, if a small one.
    """
    step = step_size(similar.levels, 2)
    starts = [0, *(np.flatnonzero(np.diff(labels)) + 1).tolist(), len(labels)]
    runs = [(int(labels[one]), int(cuts[one]), int(cuts[other])) for one, other in pairwise(starts)]
    edges, names = [0], []
    for at, (label, start, stop) in enumerate(runs):
        inner = cuts[(cuts > start) & (cuts < stop)].tolist()
        elsewhere = [run[2] - run[1] for run in runs[:at] + runs[at + 1 :] if run[0] == label]
        usual = min(elsewhere, key=lambda length: (-elsewhere.count(length), length), default=0)
        over = (stop - start) % usual if usual >= SHORTEST_USUAL else 0
        if over < LEAST_OVER and stop == cuts[-1]:
            stop, over = stop - over, 0  # the last chord rings on
        if usual >= SHORTEST_USUAL and stop - start > usual and (over == 0 or over >= LEAST_OVER):
            split = list(range(start + usual, stop, usual))
            if inner or (over == 0 and step[split].min() >= LEAST_STEP):
                inner = split
        edges += [*inner, runs[at][2]]
        names += [label] * (len(inner) + 1)
    return np.array(edges), np.array(names)


def letter(number: int) -> str:
    """A, B … Z, AA, AB …"""
    head, tail = divmod(number, 26)
    return (letter(head - 1) if head else "") + chr(ord("A") + tail)


def pair_evidence(similar: Similarity, cuts: Cuts) -> Array:
    """(sections, sections, 6): rank of harmony, spectrum and rhythm along the best alignment, then distances
    of level, timbre and length."""
    ranked = [ranks(matrix) for matrix in (similar.harmony, similar.spectrum, similar.rhythm)]
    along = best_alignments(ranked, cuts)
    raised = in_other_keys(similar.pitches, cuts)
    along[raised, 0] = np.maximum(along[raised, 0], RAISED)
    lengths = np.diff(cuts)
    ratio = np.abs(np.log2(lengths[:, None] / lengths))
    level, timbre = _distances(similar.levels, cuts), _distances(similar.timbres, cuts)
    evidence = np.concatenate([along, np.stack([level, timbre, ratio], axis=2)], axis=2)
    above = np.triu_indices(len(lengths), 1)
    evidence[above[::-1]] = evidence[above]
    return np.asarray(evidence)


def _distances(rows: Array, cuts: Cuts) -> Array:
    """Between the sections' medians, root of the mean square."""
    middle = np.stack([np.median(rows[start:stop], axis=0) for start, stop in pairwise(cuts)])
    return np.asarray(np.sqrt(((middle[:, None] - middle) ** 2).mean(axis=2)))


def _cluster(same: Array) -> NDArray[np.int_]:
    """Average linkage: join the two likeliest clusters until none are likely."""
    groups = [[section] for section in range(len(same))]
    sums, sizes = same.copy(), np.ones(len(same))
    while len(groups) > 1:
        means = np.triu(sums / np.outer(sizes, sizes), 1)
        first, second = np.unravel_index(int(means.argmax()), means.shape)
        if means[first, second] < SAME:
            break
        groups[first] += groups.pop(second)
        sums[first] += sums[second]
        sums[:, first] += sums[:, second]
        sizes[first] += sizes[second]
        sums = np.delete(np.delete(sums, second, axis=0), second, axis=1)
        sizes = np.delete(sizes, second)
    numbers = np.zeros(len(same), int)
    for number, group in enumerate(sorted(groups, key=min)):
        numbers[group] = number
    return numbers
