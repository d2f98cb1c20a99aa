"""Weighted sums over the bins of the spectra of many frames."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from .library import F64, I64, kernel, reads, writes

SIZE = 2048
BINS = SIZE // 2 + 1
TURNS = 2 * (3 * (4 + 16 + 64 + 256) + SIZE // 4 + 1)  # of four passes, and of the split into even and odd

Floats = NDArray[np.float32]
Spans = NDArray[np.int64]

_SAME = (
    reads(np.float32, 1), I64, I64, reads(np.float32, 1), reads(np.float32, 1),
    reads(np.int64, 2), reads(np.float32, 1), I64, writes(np.float32, 2),
)  # fmt: skip
_power = kernel("power_sums", *_SAME)
_compressed = kernel("compressed_sums", *_SAME, F64, F64, I64, I64)


def power_sums(
    x: Floats, hop: int, window: Floats, turns: Floats, spans: Spans, weights: Floats, out: Floats
) -> None:
    """Sums of the powers of each frame of SIZE samples, `hop` after the one before.

    x: the samples of all frames. window: (SIZE,), with the factor 1/2. turns: of `dsp.spectra`. spans: first
    bin and number of bins of each sum; weights: of all sums in a row. out: (frames, sums), written.
    """
    _check(x, hop, window, turns, spans, weights, out)
    _power(x, len(out), hop, window, turns, spans, weights, len(spans), out)


def compressed_sums(
    x: Floats, hop: int, window: Floats, turns: Floats, spans: Spans, weights: Floats, out: Floats,
    *, steepness: float, least: float,
) -> None:  # fmt: skip
    """The same of ln(1 + steepness |X| / (median of |X| + least)); the median is over all bins of a frame."""
    _check(x, hop, window, turns, spans, weights, out)
    first, last = int(spans[:, 0].min()), int(spans.sum(axis=1).max())
    arrays = (window, turns, spans, weights)
    _compressed(x, len(out), hop, *arrays, len(spans), out, steepness, least, first, last)


def _check(
    x: Floats, hop: int, window: Floats, turns: Floats, spans: Spans, weights: Floats, out: Floats
) -> None:
    if window.shape != (SIZE,) or turns.shape != (TURNS,) or hop < 1:
        raise ValueError("the window, the turns or the hop do not fit the kernel")
    if len(out) and len(x) < (len(out) - 1) * hop + SIZE:
        raise ValueError(f"{len(x)} samples do not fit {len(out)} frames")
    if out.shape[1] != len(spans) or spans.shape[1] != 2 or spans.min(initial=0) < 0:
        raise ValueError("the spans do not fit the result")
    if spans.sum(axis=1).max(initial=0) > BINS or spans[:, 1].sum() != len(weights):
        raise ValueError("the spans do not fit the weights or the bins")
