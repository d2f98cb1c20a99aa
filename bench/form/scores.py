"""How well a found form agrees with the true one, by mir_eval.

Raffel et al., mir_eval: A Transparent Implementation of Common MIR Metrics (2014): boundaries trimmed, since
the ends of a file cannot be missed.
"""

from __future__ import annotations

import warnings
from collections.abc import Sequence
from dataclasses import dataclass

import mir_eval
import numpy as np
from numpy.typing import NDArray

WINDOWS_S = (0.5, 3.0)

Times = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Form:
    """Sections that tile a file: letters, kinds, how sure each start is; beats where there are any."""

    starts_s: tuple[float, ...]
    end_s: float
    letters: tuple[str, ...]
    kinds: tuple[str, ...] = ()
    sure: tuple[float, ...] = ()
    beats_s: tuple[float, ...] = ()
    downbeats_s: tuple[float, ...] = ()

    @property
    def intervals(self) -> Times:
        """(sections, 2), as mir_eval takes them."""
        return np.stack([self.starts_s, (*self.starts_s[1:], self.end_s)], axis=1)


@dataclass(frozen=True, slots=True)
class FormScores:
    """f05, f3, pairwise: the three published figures. chorus: F of the time that is called so."""

    f05: float
    f3: float
    pairwise: float
    chorus: float | None


def form_scores(true: Form, found: Form, windows_s: Sequence[float] = WINDOWS_S) -> FormScores:
    """The figures of one song."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)  # of a song without a boundary inside
        f05, f3 = (
            float(mir_eval.segment.detection(true.intervals, found.intervals, window=w, trim=True)[2])
            for w in windows_s
        )
    theirs, labels = mir_eval.util.adjust_intervals(
        found.intervals, list(found.letters), t_min=0.0, t_max=true.end_s
    )
    pairwise = mir_eval.segment.pairwise(true.intervals, list(true.letters), theirs, labels)[2]
    return FormScores(f05, f3, float(pairwise), chorus_overlap(true, found))


def chorus_overlap(true: Form, found: Form) -> float | None:
    """F of the tenths of a second that are refrain."""
    if "chorus" not in true.kinds or not found.kinds:
        return None
    grid = np.arange(0.05, true.end_s, 0.1)
    one, other = (_is_chorus(form, grid) for form in (true, found))
    return float(2.0 * (one & other).sum() / max(int(one.sum() + other.sum()), 1))


def _is_chorus(form: Form, grid: Times) -> NDArray[np.bool_]:
    at = np.searchsorted(np.array(form.starts_s), grid, "right") - 1
    return np.array([kind == "chorus" for kind in form.kinds])[at]


@dataclass(frozen=True, slots=True)
class BeatScores:
    """f and amlt of the beats, f of the downbeats."""

    f: float
    amlt: float
    down_f: float


def beat_scores(levels: Sequence[Sequence[float]], down: Sequence[float], found: Form) -> BeatScores:
    """`levels`: the true beats, at every level that a musician may count (the better one is taken)."""
    beats = _after_the_first_seconds(found.beats_s)
    truths = [_after_the_first_seconds(level) for level in levels]
    f = max(float(mir_eval.beat.f_measure(truth, beats)) for truth in truths)
    amlt = max(float(mir_eval.beat.continuity(truth, beats)[3]) for truth in truths)
    down_f = mir_eval.beat.f_measure(
        _after_the_first_seconds(down), _after_the_first_seconds(found.downbeats_s)
    )
    return BeatScores(f, amlt, float(down_f))


def _after_the_first_seconds(times_s: Sequence[float]) -> Times:
    """mir_eval leaves the first five seconds out, in which a listener finds the beat."""
    return np.asarray(mir_eval.beat.trim_beats(np.array(times_s)))


def edge_errors_s(true: Form, found: Form) -> list[float]:
    """How far each found start is from the true one, of those within half a second."""
    starts = np.array(true.starts_s[1:])
    if not len(starts):
        return []
    away = [float(np.abs(starts - start).min()) for start in found.starts_s[1:]]
    return [error for error in away if error <= WINDOWS_S[0]]


def sure_and_right(true: Form, found: Form) -> list[tuple[float, bool]]:
    """Of each found start, how sure it was said to be, and whether it lies within half a second."""
    starts = np.array(true.starts_s[1:])
    return [
        (sure, bool(len(starts)) and float(np.abs(starts - start).min()) <= WINDOWS_S[0])
        for start, sure in zip(found.starts_s[1:], found.sure[1:], strict=True)
    ]
