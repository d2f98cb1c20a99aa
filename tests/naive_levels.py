"""Sums and peaks between cuts, straight from their definitions."""

from __future__ import annotations

import itertools

import numpy as np

from arsis.audio import Block


def pieces(x: Block, cuts: list[int]) -> Block:
    """Rows: frames, squares of left and right, product, sums, largest magnitudes."""
    left, right = x[0], x[-1]
    edges = [0, *cuts, x.shape[1]]
    rows = []
    for a, b in itertools.pairwise(edges):
        l, r = left[a:b], right[a:b]  # noqa: E741
        tops = [np.abs(l).max(initial=0.0), np.abs(r).max(initial=0.0)]
        rows.append([b - a, np.sum(l * l), np.sum(r * r), np.sum(l * r), np.sum(l), np.sum(r), *tops])
    return np.array(rows, dtype=np.float64)
