"""A join looked at closely: both passes and what was made of them, around the fade."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from arsis.audio import Block
from arsis.render.joins import JoinSound

from .svg import Frame, figure, line, linear, path, rect, words

FRAME = Frame(340, 130, left=8, right=8, top=16, bottom=20)
_REACH_S = 0.06  # shown either side of the fade's middle
_POINTS = 340


def seam_figure(sound: JoinSound, section_start: int, rate_hz: int) -> str:
    """Waveform of the edit over both passes, the fade shaded, the section's start marked."""
    middle = (sound.fade.start + sound.fade.end) / 2
    x = linear((-_REACH_S, _REACH_S), FRAME.x)
    shown = slice(
        max(0, round(middle - _REACH_S * rate_hz) - sound.span.start),
        round(middle + _REACH_S * rate_hz) - sound.span.start,
    )
    waves = [_mono(block)[shown] for block in (sound.before, sound.after, sound.made)]
    peak = max(float(np.max(np.abs(wave))) for wave in waves) or 1.0
    y = linear((-peak, peak), FRAME.y)
    start = sound.span.start + shown.start

    def at(frame: float) -> float:
        return x((frame - middle) / rate_hz)

    parts = [
        rect(
            at(sound.fade.start),
            FRAME.top,
            at(sound.fade.end) - at(sound.fade.start),
            FRAME.y[0] - FRAME.top,
            "fade",
        )
    ]
    for wave, look in zip(waves, ("before", "after", "made"), strict=True):
        parts.append(path([(at(start + i), y(float(wave[i]))) for i in _places(wave)], look))
    parts.append(line(at(section_start), FRAME.top, at(section_start), FRAME.y[0], "beat"))
    parts.append(words("fade", at(sound.fade.end) - 3, FRAME.top - 4, "axis", "end"))
    parts.append(words("section starts", at(section_start) + 3, FRAME.y[0] + 13, "axis"))
    return figure(FRAME, "waveform around a join", parts)


def _mono(block: Block) -> NDArray[np.float64]:
    return np.asarray(block.mean(axis=0))


def _places(wave: NDArray[np.float64]) -> range:
    return range(0, wave.size, max(1, wave.size // (4 * _POINTS)))
