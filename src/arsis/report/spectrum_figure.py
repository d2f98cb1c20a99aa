"""The spectrum of a section: third octaves of mix and print, each against its own level."""

from __future__ import annotations

import math
from collections.abc import Sequence

from .svg import Frame, figure, level_axis, line, linear, path, words

FRAME = Frame(340, 170, left=34, right=8, top=16, bottom=22)
_LOW_HZ, _HIGH_HZ = 25.0, 20_000.0
_RANGE_DB = 48.0


def spectrum_figure(
    centres_hz: Sequence[float], mix_db: Sequence[float], print_db: Sequence[float], name: str
) -> str:
    """Mix as a line and print as a filled shape, level against the loudest band of the mix."""
    heard = [i for i, hz in enumerate(centres_hz) if _LOW_HZ <= hz <= _HIGH_HZ and math.isfinite(mix_db[i])]
    if not heard:
        return ""
    top = max(mix_db[i] for i in heard)
    x = linear((math.log2(_LOW_HZ), math.log2(_HIGH_HZ)), FRAME.x)
    y = linear((-_RANGE_DB, 3.0), FRAME.y)

    def curve(levels: Sequence[float]) -> list[tuple[float, float]]:
        return [(x(math.log2(centres_hz[i])), y(max(levels[i] - top, -_RANGE_DB))) for i in heard]

    printed = curve(print_db)
    base = FRAME.y[0]
    parts = level_axis(FRAME, y, (0.0, -12.0, -24.0, -36.0), "dB")
    parts += [
        path([(printed[0][0], base), *printed, (printed[-1][0], base)], "print-fill", close=True),
        path(printed, "print-line"),
        path(curve(mix_db), "mix-line"),
    ]
    for hz, label in ((50, "50"), (200, "200"), (1_000, "1k"), (4_000, "4k"), (16_000, "16k")):
        parts.append(line(x(math.log2(hz)), base, x(math.log2(hz)), base + 3, "tick"))
        parts.append(words(label, x(math.log2(hz)), base + 14, "axis", "middle"))
    return figure(FRAME, f"third-octave spectrum of {name} in mix and print", parts)
