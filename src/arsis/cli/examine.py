"""`arsis examine`."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from textwrap import fill
from typing import TYPE_CHECKING

import click

from arsis.report.text import clock, percent

from .answer import answer, progress

if TYPE_CHECKING:
    from arsis.workflow.examine import Examined

NOT_FIT = 1
WIDTH = 100


@click.command(
    short_help="Is a mix fit to master? Faults with times, and a note to the mixer.",
    epilog="\b\nExample: arsis examine mixes/low-water.wav",
)
@click.argument("file", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--notes", is_flag=True, help="Only the note to the mixer, as text to send.")
@click.option("--json", "as_json", is_flag=True, help="One JSON document on standard output.")
def examine(file: tuple[Path, ...], notes: bool, as_json: bool) -> None:
    """Look FILE over as it came in. Status 1: another file is wanted before work is worth while."""
    from arsis.workflow.examine import examine_files

    with progress("examining") as bar:
        found = examine_files(file, bar)
    answer(found, as_json, notes_text if notes else examined_text)
    if not all(one.fit for one in found):
        sys.exit(NOT_FIT)


def notes_text(files: Sequence[Examined]) -> str:
    return "\n\n".join(one.notes for one in files)


def examined_text(files: Sequence[Examined]) -> str:
    return "\n\n".join(_one(one) for one in files)


def _one(file: Examined) -> str:
    from arsis.advice.finding import placed

    word = f"{file.bits} bit{' float' if file.encoding.startswith('float') else ''}"
    form = [f"{file.rate_hz / 1000:g} kHz", word if file.bits else file.encoding]
    form += [("mono", "stereo")[file.channels - 1], clock(file.duration_s)]
    verdict = "fit to master" if file.fit else "another file is wanted first"
    lines = [f"{file.file}: {', '.join(form)}: {verdict}"]
    for one in file.findings:
        lines += ["", f"  {placed(one)}   (sure: {percent(one.sure)})", f"      {one.means}"]
        lines += [f"      To ask: {one.asks}"] if one.asks else []
    if file.good:
        good = "; ".join(file.good)
        lines += ["", fill(good, WIDTH, initial_indent="  good: ", subsequent_indent="        ")]
    return "\n".join(lines)
