"""The record from left to right: each song a plateau as high as it is loud, its momentary loudness inside.

On each riser stands the step into the song, and under it what is heard at the change: from the last ten
seconds of the song before into the first ten of this one. Those are drawn as short bars at its two ends.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from arsis.measure.loudness import HOPS_PER_SECOND, momentary_lufs
from arsis.measure.spectrum import BANDS_HZ

from .record_shape import RecordShape, SongShape
from .svg import Frame, Scale, figure, level_axis, line, linear, path, rect, tag, time_axis, words
from .text import change

FRAME = Frame(1_080, 360, top=56, bottom=64)
TONE = Frame(1_080, 190, top=24, bottom=40)
# Of the first and the last of a song, what is drawn as a bar at its level; see `record_shape`.
END_S = 10.0
# More momentary values than this a song are not seen on a page.
_POINTS = 500
_FLOOR_LUFS = -60.0
_STEP_WIDTH, _UNDER_WIDTH, _LETTER = 30.0, 84.0, 6.2


def record_figure(shape: RecordShape, powers: Sequence[NDArray[np.float64]]) -> str:
    """The whole record, wide. powers: of each song, K-weighted, every 10 ms."""
    x = linear((0.0, shape.length_s), FRAME.x)
    curves = [momentary_lufs(song) for song in powers]
    low, high = _range(shape.songs, curves)
    y = linear((low, high), FRAME.y)
    parts = level_axis(FRAME, y, np.arange(math.ceil(low / 3.0) * 3.0, high, 3.0), "LUFS")
    parts += [_plateau(song, x, y) for song in shape.songs]
    parts += [_breath(song, curve, x, y, low) for song, curve in zip(shape.songs, curves, strict=True)]
    parts += [_ends(song, x, y, low) for song in shape.songs]
    parts += [_riser(song, x) for song in shape.songs]
    parts += [_named(song, x) for song in shape.songs]
    parts += [_side(side.side, x(side.start_s)) for side in shape.sides if side.side]
    parts += time_axis(Frame(FRAME.width, FRAME.height, bottom=26), x, shape.length_s)
    return figure(FRAME, "the record: loudness of each song in its place", parts)


def tone_figure(shape: RecordShape) -> str:
    """How each song is coloured beside the others: five bands against the mean of all songs, dB."""
    names = tuple(BANDS_HZ)
    tones = [[_shown(getattr(song.tone_db, name)) for name in names] for song in shape.songs]
    most = max(2.0, math.ceil(max(abs(level) for tone in tones for level in tone)))
    y = linear((-most, most), TONE.y)
    parts = level_axis(TONE, y, (-most, -most / 2, 0.0, most / 2, most), "dB")
    room = (TONE.x[1] - TONE.x[0]) / len(tones)
    bar = min(24.0, 0.8 * room / len(names))
    for i, (song, tone) in enumerate(zip(shape.songs, tones, strict=True)):
        middle = TONE.x[0] + (i + 0.5) * room
        for k, level in enumerate(tone):
            left = middle + (k - len(names) / 2) * bar
            parts.append(rect(left, min(y(level), y(0.0)), bar - 1.5, abs(y(level) - y(0.0)), "print-fill"))
            parts.append(line(left, y(level), left + bar - 1.5, y(level), "print-edge"))
        title = f"{song.place:02d} {song.title}"
        label = title if _LETTER * len(title) < room else f"{song.place:02d}"
        parts.append(words(label, middle, TONE.height - 14, "name", "middle"))
    return figure(TONE, "tone of each song against the mean of the record, in five bands", parts)


def _shown(level_db: float) -> float:
    """What does not exist is drawn as nothing."""
    return level_db if math.isfinite(level_db) else 0.0


def _level(value: float) -> float:
    return max(value, _FLOOR_LUFS) if math.isfinite(value) else _FLOOR_LUFS


def _range(songs: Sequence[SongShape], curves: Sequence[NDArray[np.float64]]) -> tuple[float, float]:
    """From well under the quietest song, or its quietest end, to over the loudest moment."""
    levels = [_level(song.loudness_lufs) for song in songs]
    ends = [v for song in songs for v in (song.begins_lufs, song.ends_lufs) if v > _FLOOR_LUFS]
    low, high = min(levels), max([*levels, *(float(curve.max()) for curve in curves if curve.size)])
    return max(min([low, *ends]) - 3.0, low - 15.0), high + 1.0


def _plateau(song: SongShape, x: Scale, y: Scale) -> str:
    left, right, top, base = x(song.start_s), x(song.end_s), y(_level(song.loudness_lufs)), FRAME.y[0]
    shape = rect(left, top, right - left, base - top, "print-fill")
    edge = line(left, top, right, top, "print-edge")
    return tag("g", shape, edge, opacity=0.75) if song.overlap_s else shape + edge


def _breath(song: SongShape, curve: NDArray[np.float64], x: Scale, y: Scale, low: float) -> str:
    every = max(1, curve.size // _POINTS)
    # The loudest of each stretch, so that a peak is not stepped over.
    loudest = np.pad(curve, (0, -curve.size % every), constant_values=-np.inf).reshape(-1, every).max(axis=1)
    points = [
        (x(song.start_s + (i + 0.5) * every / HOPS_PER_SECOND), y(max(low, _level(float(level)))))
        for i, level in enumerate(loudest)
    ]
    return path(points, "breath")


def _ends(song: SongShape, x: Scale, y: Scale, low: float) -> str:
    reach_s = min(END_S, song.length_s / 2)
    bars = (
        (song.begins_lufs, song.start_s, song.start_s + reach_s),
        (song.ends_lufs, song.end_s - reach_s, song.end_s),
    )
    return "".join(
        line(x(a), y(max(low, _level(level))), x(b), y(max(low, _level(level))), "end")
        for level, a, b in bars
    )


def _riser(song: SongShape, x: Scale) -> str:
    """The step into a song, in a lane over the plateaus where no curve crosses it."""
    at, width = x(song.start_s), x(song.end_s) - x(song.start_s)
    parts = [line(at, FRAME.y[0], at, 18, "riser")]
    if song.step_lu is not None and width > _STEP_WIDTH:
        parts.append(words(change(song.step_lu), at + 4, 30, "step"))
    if song.change_lu is not None and width > _UNDER_WIDTH:
        parts.append(words(f"heard {change(song.change_lu)}", at + 4, 43, "asked"))
    return "".join(parts)


def _named(song: SongShape, x: Scale) -> str:
    middle, width = (x(song.start_s) + x(song.end_s)) / 2, x(song.end_s) - x(song.start_s)
    base = FRAME.y[0]
    title = song.title if _LETTER * len(song.title) < width else ""
    place = f"{song.place:02d}" if width > 2.5 * _LETTER else ""
    return words(place, middle, base - 6, "letter", "middle") + words(
        title, middle, base + 15, "name", "middle"
    )


def _side(name: str, at: float) -> str:
    return line(at, FRAME.height - 24, at, 2, "beat") + words(f"side {name}", at + 4, 12, "name")
