"""What happens along the song: short-term loudness of mix and print, and the limiter's trace."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from arsis.measure.loudness import HOPS_PER_SECOND, short_term_lufs
from arsis.render.contour import Contour
from arsis.render.took import TRACE_HOP_S

from .svg import Frame, Scale, figure, level_axis, line, linear, path, time_axis

LOUDNESS = Frame(1_080, 210)
TRACE = Frame(1_080, 120)
_LOWEST_LUFS = -50.0
_POINTS = 1_400  # more than a page has pixels


def loudness_figure(contour: Contour) -> str:
    """Short-term loudness of mix and print over time."""
    mix, printed = short_term_lufs(contour.mix_energies), short_term_lufs(contour.print_energies)
    heard = np.concatenate([mix, printed])
    heard = heard[np.isfinite(heard)]
    high = float(heard.max()) + 1.0 if heard.size else 0.0
    low = max(float(heard.min()) - 1.0, high - 30.0, _LOWEST_LUFS) if heard.size else -30.0
    x, y = _time(contour, LOUDNESS), linear((low, high), LOUDNESS.y)
    parts = level_axis(LOUDNESS, y, np.arange(math.ceil(low / 3) * 3, high, 3.0), "LUFS")
    parts += _risers(contour, LOUDNESS, x)
    parts += [path(_curve(mix, x, y, low), "mix-line"), path(_curve(printed, x, y, low), "print-line")]
    parts += time_axis(LOUDNESS, x, contour.sections[-1].end_s)
    return figure(LOUDNESS, "short-term loudness of mix and print over time", parts)


def took_figure(contour: Contour) -> str:
    """What the limiter took, deepest in each moment, hanging from zero."""
    trace = _deepest(contour.took_db)
    most = max(1.0, math.ceil(float(trace.max()) if trace.size else 0.0))
    x, y = _time(contour, TRACE), linear((-most, 0.0), TRACE.y)
    step = len(contour.took_db) / max(len(trace), 1)
    points = [(x(i * step * TRACE_HOP_S), y(-float(v))) for i, v in enumerate(trace)]
    parts = level_axis(TRACE, y, (0.0, -most / 2, -most), "dB")
    parts += _risers(contour, TRACE, x)
    if points:
        parts.append(
            path([(points[0][0], y(0.0)), *points, (points[-1][0], y(0.0))], "took-fill", close=True)
        )
    parts += time_axis(TRACE, x, contour.sections[-1].end_s)
    return figure(TRACE, "gain reduction of the limiter over time", parts)


def _time(contour: Contour, frame: Frame) -> Scale:
    return linear((0.0, contour.sections[-1].end_s), frame.x)


def _risers(contour: Contour, frame: Frame, x: Scale) -> list[str]:
    return [line(x(s.start_s), frame.y[0], x(s.start_s), frame.top, "riser") for s in contour.sections[1:]]


def _curve(values: NDArray[np.float64], x: Scale, y: Scale, low: float) -> list[tuple[float, float]]:
    # The window is 3 s long and a value comes each 100 ms; a value stands at the middle of its window.
    every = max(1, values.size // _POINTS)
    return [
        (x((i * 10 + 150) / HOPS_PER_SECOND), y(max(float(values[i]), low)))
        for i in range(0, values.size, every)
    ]


def _deepest(trace: NDArray[np.float64]) -> NDArray[np.float64]:
    every = max(1, trace.size // _POINTS)
    padded = np.pad(trace, (0, -trace.size % every))
    return np.asarray(padded.reshape(-1, every).max(axis=1))
