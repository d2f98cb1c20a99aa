"""One self-contained page about a record: its shape, its changes, its tone."""

from __future__ import annotations

from collections.abc import Sequence
from importlib.resources import files

import numpy as np
from jinja2 import Environment, StrictUndefined
from markupsafe import Markup
from numpy.typing import NDArray

from arsis.measure.spectrum import BANDS_HZ

from .record_figure import record_figure, tone_figure
from .record_shape import RecordShape, SongShape
from .text import NOTHING, change, clock, number

SONG_HEADS = (
    "", "song", "starts", "length", "before it", "loudness", "step", "begins", "ends", "heard", "short-term",
    "range", "true peak", "PLR",
)  # fmt: skip
BAND_NAMES = tuple(name.replace("_", " ") for name in BANDS_HZ)


def record_page(
    shape: RecordShape, powers: Sequence[NDArray[np.float64]], warnings: Sequence[str], colophon: str
) -> str:
    """The page as HTML; nothing in it is fetched from anywhere. powers: see `record_figure`."""
    home = files("arsis.report")
    template = Environment(autoescape=True, undefined=StrictUndefined, trim_blocks=True).from_string(
        (home / "record.html.j2").read_text(encoding="utf-8")
    )
    return template.render(
        shape=shape,
        style=Markup((home / "page.css").read_text(encoding="utf-8")),
        facts=record_facts(shape),
        warnings=warnings,
        figure=Markup(record_figure(shape, powers)),
        heads=SONG_HEADS,
        rows=[song_row(song) for song in shape.songs],
        sides=[
            (f"side {side.side or NOTHING}", clock(side.length_s), number(side.loudness_lufs))
            for side in shape.sides
        ],
        has_sides=any(side.side for side in shape.sides),
        tone=Markup(tone_figure(shape)),
        band_names=BAND_NAMES,
        band_rows=[band_row(song) for song in shape.songs],
        colophon=colophon,
    )


def record_facts(shape: RecordShape) -> list[tuple[str, str]]:
    """What is told first."""
    loudest = max(shape.songs, key=lambda song: song.loudness_lufs)
    return [
        ("songs", str(len(shape.songs))),
        ("total time", clock(shape.length_s)),
        ("loudness of the record", f"{number(shape.loudness_lufs)} LUFS"),
        ("spread of the songs", f"{number(shape.spread_lu)} LU"),
        ("loudest song", f"{loudest.place:02d}, {number(loudest.loudness_lufs)} LUFS"),
        ("highest true peak", f"{number(max(song.true_peak_dbtp for song in shape.songs))} dBTP"),
    ]


def song_row(song: SongShape) -> tuple[str, ...]:
    """A song in figures, as `SONG_HEADS` names them."""
    return (
        f"{song.place:02d}",
        song.title,
        clock(song.start_s),
        clock(song.length_s),
        before_it(song),
        number(song.loudness_lufs),
        change(song.step_lu),
        number(song.begins_lufs),
        number(song.ends_lufs),
        change(song.change_lu),
        number(song.max_short_term_lufs),
        number(song.range_lu),
        number(song.true_peak_dbtp),
        number(song.plr_db),
    )


def band_row(song: SongShape) -> tuple[str, ...]:
    """A song's bands against the record's mean."""
    return (f"{song.place:02d}", song.title, *(change(getattr(song.tone_db, name)) for name in BANDS_HZ))


def before_it(song: SongShape) -> str:
    """How it is reached from the song before."""
    if song.place == 1:
        return NOTHING
    if song.overlap_s > 0.0:
        how = f"over {number(song.overlap_s)} s"
    else:
        how = f"gap {number(song.gap_s)} s" if song.gap_s > 0.0 else "runs on"
    return how + (f", {song.between.rsplit('/', 1)[-1]}" if song.between else "")
