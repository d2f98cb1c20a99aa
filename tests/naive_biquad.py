"""A cascade of second-order sections from its difference equation, direct form I, sample by sample."""

from __future__ import annotations

import numpy as np

from arsis.audio import Block


def cascade(block: Block, sections: np.ndarray) -> Block:
    """y[t] = b0 x[t] + b1 x[t-1] + b2 x[t-2] - a1 y[t-1] - a2 y[t-2], section after section, from rest."""
    for b0, b1, b2, a1, a2 in sections:
        out = np.zeros_like(block)
        for t in range(block.shape[1]):
            x1, x2 = (block[:, t - k] if t >= k else 0.0 for k in (1, 2))
            y1, y2 = (out[:, t - k] if t >= k else 0.0 for k in (1, 2))
            out[:, t] = b0 * block[:, t] + b1 * x1 + b2 * x2 - a1 * y1 - a2 * y2
        block = out
    return block
