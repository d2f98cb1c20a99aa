"""K-weighting sample by sample, from the difference equation of ITU-R BS.1770-5, Annex 1, Figures 2 and 3."""

from __future__ import annotations

import itertools

import numpy as np

from arsis.audio import Block


def weighted(x: Block, coefficients: Block) -> Block:
    """Every channel through both stages, direct form I."""
    out = x.copy()
    for b0, b1, b2, a1, a2 in coefficients:
        for channel in out:
            x1 = x2 = y1 = y2 = 0.0
            for t, x0 in enumerate(channel.tolist()):
                y0 = b0 * x0 + b1 * x1 + b2 * x2 - a1 * y1 - a2 * y2
                channel[t] = y0
                x1, x2, y1, y2 = x0, x1, y0, y1
    return out


def energies(x: Block, coefficients: Block, rate_hz: int, hops_per_second: int) -> np.ndarray:
    """Mean square of every complete hop, re its nominal length, summed over the channels."""
    y = weighted(x, coefficients)
    edges = []
    while (edge := int(np.floor(len(edges) * rate_hz / hops_per_second + 0.5))) <= x.shape[1]:
        edges.append(edge)
    pairs = itertools.pairwise(edges)
    return np.array([np.sum(y[:, a:b] ** 2) for a, b in pairs]) * hops_per_second / rate_hz
