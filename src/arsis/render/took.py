"""What the limiter took, section by section, read off the gain it applied."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Span
from arsis.dsp.kernels.decibel import gains_to_db

# Less than this at a frame does not count as the limiter being at work.
AT_WORK_DB = 0.05

# The trace kept for drawing: the deepest gain in each of this many seconds.
TRACE_HOP_S = 0.02


@dataclass(frozen=True, slots=True)
class Took:
    """Gain reduction over a section: mean over all of it, deepest, and share of time at work."""

    mean_db: float
    max_db: float
    share: float
    max_at_s: float


@dataclass(slots=True)
class _Sum:
    total_db: float = 0.0
    lowest: float = 1.0
    lowest_frame: int = 0
    at_work: int = 0


class TookMeter:
    """Listens to the limiter's gain, block by block, as far as the last section goes."""

    def __init__(self, sections: Sequence[Span], rate_hz: int) -> None:
        self._sections, self._rate_hz = tuple(sections), rate_hz
        self._sums = [_Sum(lowest_frame=span.start) for span in sections]
        self._hop = max(1, round(TRACE_HOP_S * rate_hz))
        self._trace = np.ones(-(-self._sections[-1].end // self._hop))
        self._at = 0

    def add(self, gain: NDArray[np.float64]) -> None:
        start, self._at = self._at, self._at + gain.shape[0]
        gain = gain[: max(0, self._sections[-1].end - start)]
        end = start + gain.shape[0]
        if not gain.size or gain.min() >= 1.0:
            return
        for span, total in zip(self._sections, self._sums, strict=True):
            part = span.clip(start, end)
            if part.frames:
                _add(total, gain[part.start - start : part.end - start], part.start)
        first = start // self._hop
        edges = np.maximum(np.arange(first, -(-end // self._hop)) * self._hop - start, 0)
        trace = self._trace[first : first + edges.size]
        self._trace[first : first + edges.size] = np.minimum(trace, np.minimum.reduceat(gain, edges))

    def result(self) -> tuple[Took, ...]:
        """One a section."""
        return tuple(self._took(span, total) for span, total in zip(self._sections, self._sums, strict=True))

    def whole(self) -> Took:
        """The same over all sections."""
        lowest = min(self._sums, key=lambda total: total.lowest)
        joined = _Sum(
            sum(total.total_db for total in self._sums),
            lowest.lowest,
            lowest.lowest_frame,
            sum(total.at_work for total in self._sums),
        )
        return self._took(Span(self._sections[0].start, self._sections[-1].end), joined)

    def trace_db(self) -> NDArray[np.float64]:
        """The deepest reduction in each hop of TRACE_HOP_S, in dB, 0 where the limiter rested."""
        return -20.0 * np.log10(self._trace) + 0.0

    def _took(self, span: Span, total: _Sum) -> Took:
        frames = max(1, span.frames)
        return Took(
            mean_db=total.total_db / frames,
            max_db=-20.0 * float(np.log10(total.lowest)) + 0.0,
            share=total.at_work / frames,
            max_at_s=total.lowest_frame / self._rate_hz,
        )


def _add(total: _Sum, gain: NDArray[np.float64], start: int) -> None:
    worked = gain[gain < 1.0]
    if not worked.size:
        return
    taken_db = -gains_to_db(worked)
    total.total_db += float(taken_db.sum())
    total.at_work += int(np.count_nonzero(taken_db > AT_WORK_DB))
    lowest = int(np.argmin(gain))
    if gain[lowest] < total.lowest:
        total.lowest, total.lowest_frame = float(gain[lowest]), start + lowest
