"""`arsis record`: what it takes and what it says."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from .answer import answer, progress

if TYPE_CHECKING:  # results only name types here; their modules load numpy
    from arsis.workflow.record import Recorded

PATH = click.Path(path_type=Path)


@click.command(
    short_help="The songs of a release as one record.",
    epilog="\b\nExample: arsis record tide-tables",
)
@click.argument("folder", type=PATH)
@click.option("--out", type=PATH, help="The page; reports/record.html in the release when not given.")
@click.option("--json", "as_json", is_flag=True, help="One JSON document on standard output.")
def record(folder: Path, out: Path | None, as_json: bool) -> None:
    """The songs of a release FOLDER as one record: order, gaps, loudness, tone, and the changes between."""
    from arsis.workflow.record import release_record

    with progress("rendering") as bar:
        made = release_record(folder, out, bar)
    answer(made, as_json, record_text)


def record_text(made: Recorded) -> str:
    from arsis.report.record_page import BAND_NAMES, band_row, before_it
    from arsis.report.text import change, clock, number, table

    shape = made.shape
    heads = (
        "",
        "song",
        "starts",
        "length",
        "before it",
        "LUFS",
        "step",
        "heard",
        "max S",
        "LRA",
        "dBTP",
        "PLR",
    )
    rows = [
        (
            f"{song.place:02d}",
            song.title,
            clock(song.start_s),
            clock(song.length_s),
            before_it(song),
            number(song.loudness_lufs),
            change(song.step_lu),
            change(song.change_lu),
            number(song.max_short_term_lufs),
            number(song.range_lu),
            number(song.true_peak_dbtp),
            number(song.plr_db),
        )
        for song in shape.songs
    ]
    sides = [
        f"side {side.side or '–'}: {clock(side.length_s)}, {number(side.loudness_lufs)} LUFS"
        for side in shape.sides
        if len(shape.sides) > 1 or side.side
    ]
    count = "1 song" if len(shape.songs) == 1 else f"{len(shape.songs)} songs"
    return "\n".join(
        (
            f"{shape.title}: {count}, {clock(shape.length_s)}, {number(shape.loudness_lufs)} LUFS, "
            f"spread {number(shape.spread_lu)} LU",
            *sides,
            "",
            table(heads, rows, left=2),
            "step: loudness against the song before; heard: its first ten seconds against the last ten "
            "before it; LU",
            "",
            table(("bands, dB", "", *BAND_NAMES), [band_row(song) for song in shape.songs], left=2),
            "against the song's own level, and that against the mean of the songs",
            "",
            f"the page: {made.out}",
        )
    )
