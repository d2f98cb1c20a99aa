"""`arsis deliver`: what it takes and what it says."""

from __future__ import annotations

import sys
from pathlib import Path
from shlex import quote
from typing import TYPE_CHECKING

import click

from .answer import AT_FAULT, answer, progress

if TYPE_CHECKING:  # results only name types here; their modules load numpy
    from arsis.deliver.manifest import SoundFile
    from arsis.workflow.deliver import Delivered, Deliveries

PATH = click.Path(path_type=Path)


@click.command(
    short_help="The files of a release, tagged, checked, with the paperwork.",
    epilog="\b\nExample: arsis deliver tide-tables --profile cd --profile stream",
)
@click.argument("folder", nargs=-1, required=True, type=PATH)
@click.option(
    "--profile", multiple=True, required=True, help="hires, cd, stream, vinyl, preview, or your own."
)
@click.option("--out", type=PATH, help="Where to; deliveries/PROFILE in the release when not given.")
@click.option("--jobs", type=click.IntRange(1), help="Processes at work; one for each core when not given.")
@click.option("--date", help="Of the delivery, YYYY-MM-DD; today when not given.")
@click.option("--no-versions", is_flag=True, help="The songs alone, without instrumentals and the like.")
@click.option("--scheduler", help="Work on a dask.distributed cluster: the address of its scheduler.")
@click.option("--json", "as_json", is_flag=True, help="One JSON document on standard output.")
def deliver(
    folder: tuple[Path, ...],
    profile: tuple[str, ...],
    out: Path | None,
    jobs: int | None,
    date: str | None,
    no_versions: bool,
    scheduler: str | None,
    as_json: bool,
) -> None:
    """Make the files of release FOLDERs, tagged, checked, with the paperwork.

    A command that was stopped, however it was, goes on when it is given again.
    """
    from arsis.workflow.deliver import Asked, default_jobs, named
    from arsis.workflow.deliver import deliver as make_deliveries

    asked = Asked(
        folders=folder,
        profiles=named(profile),
        out=out,
        jobs=default_jobs() if jobs is None else jobs,
        date=date,
        versions=not no_versions,
        scheduler=scheduler,
    )
    with progress("delivering") as bar:
        made = make_deliveries(asked, lambda line: click.echo(f"arsis: {line}", err=True), bar)
    if made.faults:
        try:
            answer(made, as_json, deliver_text)
        finally:
            sys.exit(AT_FAULT)
    answer(made, as_json, deliver_text)


def deliver_text(made: Deliveries) -> str:
    return "\n\n".join(_delivery_text(one) for one in made.deliveries)


def _delivery_text(one: Delivered) -> str:
    from arsis.report.text import clock, number, table

    manifest = one.manifest
    heads = ("", "file", "length", "LUFS", "dBTP", "took")
    rows = [
        (
            f"{sound.place:02d}" if sound.place else "",
            sound.path,
            clock(sound.facts.frames / sound.facts.rate_hz),
            number(sound.facts.integrated_lufs),
            number(sound.facts.true_peak_dbtp, 2),
            number(sound.took_max_db),
        )
        for sound in manifest.sounds
    ]
    return "\n".join(
        (
            f"{manifest.title}: {manifest.profile}, {_form(manifest.sounds[0])}",
            table(heads, rows, left=2),
            *_turned(manifest.trim_db),
            f"{one.out}" + (" is there already, as it was made" if one.was_there else ""),
            f"check it with: arsis verify {quote(str(one.out))}",
        )
    )


def _turned(trim_db: float) -> list[str]:
    from arsis.report.text import number

    return [f"every song turned down by {number(-trim_db, 2)} dB, so that all peaks fit"] if trim_db else []


def _form(sound: SoundFile) -> str:
    facts = sound.facts
    word = "" if facts.bits is None else f" {facts.bits} bit" + (" float" if facts.is_float else "")
    return f"{facts.container}{word}, {facts.rate_hz / 1000:g} kHz"
