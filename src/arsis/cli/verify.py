"""`arsis verify`: what it takes, and what it says."""

from __future__ import annotations

import sys
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING

import click

from .answer import answer, progress

if TYPE_CHECKING:  # the module loads numpy
    from arsis.workflow.verify import Verified

DOES_NOT_HOLD = 1
PATH = click.Path(path_type=Path)


@click.command(
    short_help="Reads a delivery back, and rebuilds it bit for bit.",
    epilog="\b\nExample: arsis verify deliveries/stream",
)
@click.argument("delivery", type=PATH)
@click.option("--release", type=PATH, help="The release folder; where the manifest says when not given.")
@click.option("--no-rebuild", is_flag=True, help="Make no file again from its mix and plan.")
@click.option("--jobs", type=click.IntRange(1), help="Processes; one for each core when not given.")
@click.option("--json", "as_json", is_flag=True, help="One JSON document on standard output.")
def verify(delivery: Path, release: Path | None, no_rebuild: bool, jobs: int | None, as_json: bool) -> None:
    """Read a DELIVERY back from disk: bytes, sound, meters, ceilings, tags, spacing and paperwork; and make
    every file again from its mix and its plan, to compare byte for byte. Exit status 1 where something
    does not hold."""
    from arsis.workflow.verify import verify_delivery

    with progress("verifying") as bar:
        verified = verify_delivery(
            delivery, release=release, with_rebuild=not no_rebuild, jobs=jobs, progress=bar
        )
    answer(verified, as_json, verified_text)
    if not verified.holds:
        sys.exit(DOES_NOT_HOLD)


def verified_text(verified: Verified) -> str:
    """A few lines where all is well; else what is wrong, file by file."""
    head = f"{verified.delivery}: {verified.title}, {verified.profile}, made {verified.date}"
    lines = [head, *_findings(verified)]
    if verified.holds:
        lines.append(f"all {verified.files} files are there, each with its bytes; nothing else is")
        heard = verified.sounds - len(verified.unheard)
        if heard:
            files = "1 sound file" if heard == 1 else f"{heard} sound files"
            lines.append(f"{files}: format, words, meters, ceiling, tags and spacing hold")
    if verified.rebuilt:
        lines.append(
            f"{len(verified.rebuilt)} of {verified.sounds} made again from mix and plan, bit for bit"
        )
    for why, unheard in groupby(verified.unheard, key=lambda one: one.why):
        lines.append(f"not listened to: {why} ({', '.join(one.file for one in unheard)})")
    lines += [f"not rebuilt: {why}" for why in dict.fromkeys(one.why for one in verified.not_rebuilt)]
    return "\n".join(lines)


def _findings(verified: Verified) -> list[str]:
    if verified.holds:
        return []
    lines = [f"does not hold: {len(verified.findings)} found wrong"]
    for file, found in groupby(verified.findings, key=lambda one: one.file):
        lines.append(f"{file}:")
        for one in found:
            values = "" if one.expected is None else f" (expected {one.expected}, found {one.found})"
            lines.append(f"  {one.what}{values}")
    return lines
