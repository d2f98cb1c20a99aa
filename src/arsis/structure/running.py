"""Means, maxima and sums along the first axis of a stream, and between given times."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

TOGETHER = 128  # means: some thousand rows then stay in the cache, where a long song's would not


def running_sum(values: ArrayLike) -> Array:
    """Sums of the first 0, 1, … n rows."""
    rows = np.asarray(values)
    sums = np.zeros((len(rows) + 1, *rows.shape[1:]))
    np.cumsum(rows, axis=0, dtype=np.float64, out=sums[1:])
    return sums


def running_mean(values: ArrayLike, width: int) -> Array:
    """Mean of the `width` rows centred on each row; fewer at the ends."""
    sums = running_sum(values)
    count = len(sums) - 1
    row = np.arange(count)
    low, high = np.maximum(row - width // 2, 0), np.minimum(row + width // 2 + 1, count)
    span = (high - low).reshape(-1, *([1] * (sums.ndim - 1)))
    return np.asarray((sums[high] - sums[low]) / span)


def running_max(values: Array, reach: int) -> Array:
    """Maximum over each row and `reach` rows on both sides."""
    most = values.copy()
    for away in range(1, min(reach, len(values) - 1) + 1):
        np.maximum(most[away:], values[:-away], out=most[away:])
        np.maximum(most[:-away], values[away:], out=most[:-away])
    return most


def means_between(values: ArrayLike, step_s: float, edges_s: Array) -> Array:
    """Mean of the rows between successive edges, which rise, (len(edges_s) - 1, …); at least one row each."""
    rows = np.asarray(values)
    at = np.clip(np.round(edges_s / step_s).astype(int), 0, len(rows) - 1)
    sums = np.empty((len(at) - 1, *rows.shape[1:]))
    for start in range(0, len(sums), TOGETHER):
        cut = at[start : start + TOGETHER + 1]
        part = rows[cut[0] : cut[-1] + 1].astype(np.float64)
        sums[start : start + TOGETHER] = np.add.reduceat(part, cut - cut[0], axis=0)[:-1]
    span = np.maximum(np.diff(at), 1).reshape(-1, *([1] * (rows.ndim - 1)))
    return np.asarray(sums / span)


def step_size(values: Array, reach: int) -> Array:
    """How far the mean of the next `reach` rows is from that of the last: rms over columns, (rows,)."""
    sums = running_sum(values)
    row = np.arange(len(values))
    after, before = np.minimum(row + reach, len(values)), np.maximum(row - reach, 0)
    ahead = (sums[after] - sums[row]) / np.maximum(after - row, 1)[:, None]
    behind = (sums[row] - sums[before]) / np.maximum(row - before, 1)[:, None]
    size = np.sqrt(((ahead - behind) ** 2).mean(axis=1))
    size[:1] = 0.0
    return np.asarray(size)


def standardised(values: Array) -> Array:
    """Zero mean, unit deviation; zeros where nothing varies."""
    return np.asarray((values - values.mean(axis=0)) / (values.std(axis=0) + 1e-9))


def power_db(power: ArrayLike, floor: float) -> Array:
    """Level of a power, not below `floor`."""
    level = np.array(power, np.float64)
    np.maximum(level, floor, out=level)
    np.log10(level, out=level)
    return np.asarray(np.multiply(level, 10.0, out=level))
