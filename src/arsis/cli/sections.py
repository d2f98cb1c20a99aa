"""`arsis sections`."""

from __future__ import annotations

import re
import shutil
from pathlib import Path
from textwrap import fill
from typing import TYPE_CHECKING, Any, get_args

import click

from arsis.plan.model import SectionKind
from arsis.report.text import NOTHING, change, clock, number, percent, table

from .answer import answer, progress

if TYPE_CHECKING:
    from arsis.render.join_ahead import JoinAhead, SecondPlace
    from arsis.workflow.section_edits import Corrected
    from arsis.workflow.sections import Sections

PATH = click.Path(path_type=Path)
AUDIBLE_DB = 0.35  # of a seam: past this the second-best place is told
PIPED, WIDEST = 100, 160  # columns of the picture in a pipe, and at most
KINDS = get_args(get_args(SectionKind)[0])


class _Time(click.ParamType[float]):
    """Seconds, or minutes and seconds: 83.4 or 1:23.4."""

    name = "time"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        if isinstance(value, float):
            return value
        if not re.fullmatch(r"(\d+:){0,2}\d+(\.\d*)?", value):
            self.fail(
                f"{value!r} is no time; allowed: seconds, or minutes and seconds: 83.4, 1:23.4", param, ctx
            )
        time_s = 0.0
        for part in value.split(":"):
            time_s = 60.0 * time_s + float(part)
        return time_s


TIME = _Time()


@click.command(
    short_help="Sections, tempo, down-beats and joins of a song; and their correction.",
    epilog="\b\nExample: arsis sections mixes/low-water.wav\n"
    '         arsis sections songs/low-water.toml --move "chorus 1" 0:38.1',
)
@click.argument("song", type=PATH)
@click.option("--find", is_flag=True, help="Find them anew in the mix, though the plan has its own.")
@click.option(
    "--nudge", type=click.Choice(["half-bar", "double", "half"]),
    help="The grid is half a bar off, or its tempo is half or double: put every start right.",
)  # fmt: skip
@click.option(
    "--move", "moves", nargs=2, type=(str, TIME), multiple=True, metavar="NAME TIME",
    help="Let a section start elsewhere: at the attack on the nearest down-beat.",
)  # fmt: skip
@click.option(
    "--split", "splits", nargs=2, type=(TIME, str), multiple=True, metavar="TIME NAME",
    help="Cut a section in two; the second part gets this name.",
)  # fmt: skip
@click.option("--merge", "merges", multiple=True, metavar="NAME", help="Join a section to the one before it.")
@click.option(
    "--name", "names", nargs=2, type=(str, str), multiple=True, metavar="OLD NEW",
    help="Call a section by another name.",
)  # fmt: skip
@click.option(
    "--kind", "kinds", nargs=2, type=(str, click.Choice(KINDS)), multiple=True, metavar="NAME KIND",
    help=f"Say what kind it is: {', '.join(KINDS)}.",
)  # fmt: skip
@click.option("--exact", is_flag=True, help="Times of --move and --split are meant to the frame.")
@click.option("--json", "as_json", is_flag=True, help="One JSON document on standard output.")
def sections(song: Path, find: bool, as_json: bool, **corrections: Any) -> None:
    """Find or list the sections, tempo, down-beats, and the joins they suggest; or correct a plan's.

    A TIME is in seconds, or minutes and seconds (1:23.4). Several corrections may be given at once; they are
    made in the order that they have here, and the plan is written once, its comments kept.
    """
    from arsis.workflow.section_edits import Edits, edit_sections
    from arsis.workflow.sections import song_sections

    edits = Edits(**corrections)
    if find and edits.any:
        raise click.UsageError(
            "--find stands alone: what it finds is not in the plan, so it cannot be corrected."
        )
    if edits.exact and not (edits.moves or edits.splits):
        raise click.UsageError("--exact goes with --move or --split.")
    with progress("listening") as bar:
        done = edit_sections(song, edits, bar) if edits.any else song_sections(song, find, bar)
    answer(done, as_json, _text)


def _text(done: Corrected | Sections) -> str:
    from arsis.workflow.section_edits import Corrected

    if isinstance(done, Corrected):
        changes = "\n".join(done.changes) or "nothing differs"
        return f"{changes}\n\n{sections_text(done.sections)}"
    return sections_text(done)


def sections_text(found: Sections) -> str:
    """Tempo, a picture as wide as the terminal, and a table."""
    from arsis.report.sections_picture import sections_picture

    tempo = (
        f"{number(found.tempo_bpm)} bpm, {len(found.downbeats_s)} bars"
        if found.tempo_bpm
        else "no steady beat"
    )
    if found.why:
        tempo += f"; one section: {found.why}"
    width = min(shutil.get_terminal_size((PIPED, 0)).columns, WIDEST)
    parts = [f"{found.file}: {tempo}", sections_picture(found.sections, width), _table(found)]
    parts[-1] += (
        "\nloudness of the mix, LUFS; step, LU; seam: how far the edit would leave both passes in the ear, dB"
    )
    notes = "\n".join(fill(note, width, subsequent_indent="  ") for note in _notes(found))
    return "\n\n".join([*parts, *filter(None, [notes])])


def _table(found: Sections) -> str:
    rows = [
        (
            section.name,
            section.kind,
            clock(section.start_s),
            clock(section.end_s),
            number(section.loudness_lufs),
            change(section.step_lu),
            percent(section.confidence) if section.confidence is not None else "as planned",
            f"{number(section.join.fade_ms, 0)} ms, {number(section.join.lead_ms, 0)} ms before"
            if section.join
            else NOTHING,
            number(_worst_db(section.seam), 2) if section.seam else NOTHING,
        )
        for section in found.sections
    ]
    heads = ("section", "kind", "from", "to", "LUFS", "step", "sure", "join", "seam")
    return table(heads, rows, left=2)


def _worst_db(seam: JoinAhead | SecondPlace) -> float:
    return max(seam.bump_db, seam.dip_db)


CROSSES = {
    "held": "a note that is held{since} crosses its start",
    "pick_up": "a pick-up{since} leads into it",
    "tail": "a tail{since} rings on over its start",
}


def _notes(found: Sections) -> list[str]:
    """What sounds on across a start, and where else a join might lie, where there is cause to look."""
    lines = []
    for section in found.sections:
        if section.seam is None:
            continue
        said = [
            CROSSES[one.kind].format(
                since="" if one.since_s is None else f" from {number(one.since_s, 2)} s before"
            )
            for one in section.seam.crosses
        ]
        if _worst_db(section.seam) > AUDIBLE_DB:
            said.append(f"the edit may be heard: {number(_worst_db(section.seam), 2)} dB")
        second = section.seam.second
        if said and second is not None:
            said.append(f"second-best at {clock(second.at_s)}: {number(_worst_db(second), 2)} dB")
        if said:
            lines.append(f"{section.name}: {'; '.join(said)}")
    return lines
