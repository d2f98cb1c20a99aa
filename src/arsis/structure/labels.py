"""Which sections are the same music: the probability of each pair, then average-linkage clustering."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from .boundaries import Cuts
from .running import Array, step_size
from .similarity import Similarity

SAME = 0.5  # mean probability at which two clusters are one
SHORTEST_USUAL, LEAST_OVER = 6, 4  # units: by what length a run is cut, and the least that may be left over
LEAST_STEP = 0.3  # of the level, about unit scale
OTHER_KEY, HIGHER = 0.55, 0.15  # the least likeness in another key, and how much more than in the same one
RAISED = 0.97  # the rank that the harmony then has
OFFSETS = 6  # units by which two sections may be shifted against each other

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
    ranked = np.stack([_ranks(matrix) for matrix in (similar.harmony, similar.spectrum, similar.rhythm)])
    count = len(cuts) - 1
    spans = list(pairwise(cuts))
    level = np.stack([np.median(similar.levels[start:stop], axis=0) for start, stop in spans])
    timbre = np.stack([np.median(similar.timbres[start:stop], axis=0) for start, stop in spans])
    evidence = np.zeros((count, count, 6))
    for one in range(count):
        for other in range(one, count):
            along = _best_alignment(ranked, spans[one], spans[other])
            if _is_raised(similar.pitches, spans[one], spans[other]):
                along[0] = max(along[0], RAISED)
            level_away = np.sqrt(((level[one] - level[other]) ** 2).mean())
            timbre_away = np.sqrt(((timbre[one] - timbre[other]) ** 2).mean())
            lengths = [stop - start for start, stop in (spans[one], spans[other])]
            ratio = abs(np.log2(lengths[0] / lengths[1]))
            evidence[one, other] = evidence[other, one] = [*along, level_away, timbre_away, ratio]
    return evidence


def _ranks(matrix: Array) -> Array:
    """0 for the least alike pair of units of the song … 1 for the most."""
    values = np.sort(matrix[np.triu_indices(len(matrix), 2)])
    return np.asarray(np.searchsorted(values, matrix) / max(len(values), 1))


def _best_alignment(ranked: Array, one: tuple[int, int], other: tuple[int, int]) -> list[float]:
    """Mean of each matrix along the diagonal where the first two are highest; a shift costs a little."""
    lengths = one[1] - one[0], other[1] - other[0]
    best, found = -np.inf, [0.0] * len(ranked)
    for offset in range(-OFFSETS, OFFSETS + 1):
        low, high = max(0, -offset), min(lengths[0], lengths[1] - offset)
        if high - low < max(1.0, 0.5 * min(lengths)):
            continue
        rows = np.arange(one[0] + low, one[0] + high)
        columns = rows - one[0] + other[0] + offset
        means = ranked[:, rows, columns].mean(axis=1)
        value = float(means[0] + means[1]) - 0.03 * abs(offset)
        if value > best:
            best, found = value, means.tolist()
    return found


def _is_raised(pitches: Array, one: tuple[int, int], other: tuple[int, int]) -> bool:
    """Whether two sections have the same chords from their starts, the one a little higher than the other."""
    length = min(one[1] - one[0], other[1] - other[0])
    first, second = (np.fft.rfft(pitches[at : at + length], axis=2) for at in (one[0], other[0]))
    keys = np.fft.irfft((np.conj(first) * second).sum(axis=(0, 1)), 12)
    keys /= length * pitches.shape[1]
    near = float(keys[[1, 2, 3, -1, -2, -3]].max())
    return length >= 4 and near > OTHER_KEY and near > float(keys[0]) + HIGHER


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
