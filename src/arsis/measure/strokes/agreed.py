"""One treatment from several views of the same strokes."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from .solve import Solved
from .waves import Floats


def agreed(views: Sequence[Solved | None]) -> Solved | None:
    """The mean, each view counted by how well it knows a band, their levels set alike.

    The views hear the same strokes: their errors do not fall by there being several, and what they differ by
    comes on top.
    """
    told = [view for view in views if view is not None]
    if len(told) < 2:
        return told[0] if told else None
    weight = np.stack([np.where(one.told, 1.0 / one.error_db**2, 0.0) for one in told])
    bands = weight.any(axis=0)
    share = np.divide(weight, weight.sum(axis=0), out=np.zeros_like(weight), where=bands)
    db = np.stack([np.where(one.told, one.db, 0.0) for one in told])
    db = db - _levels_db(db[:, 0], weight)[:, None, None]
    mean = (share[:, None] * db).sum(axis=0)
    apart = np.sqrt((share * (db[:, 0] - mean[0]) ** 2).sum(axis=0))
    shared = sum(
        np.nan_to_num(one.shared_db2) * np.sqrt(np.outer(part, part))
        for one, part in zip(told, share, strict=True)
    ) + np.diag(apart**2)
    mean[:, ~bands], shared[~bands], shared[:, ~bands] = np.nan, np.nan, np.nan
    return Solved(mean, np.sqrt(np.diag(shared)), shared)


def _levels_db(db: Floats, weight: Floats) -> Floats:
    """How far each view lies over the mean of all, in the bands that all of them tell."""
    common = weight.min(axis=0)
    if not common.any():
        return np.zeros(len(db))
    level = (db * common).sum(axis=1) / common.sum()
    return np.asarray(level - level.mean())
