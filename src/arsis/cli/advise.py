"""`arsis advise`."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from textwrap import fill
from typing import TYPE_CHECKING

import click

from arsis.errors import ArsisError
from arsis.report.text import percent

from .answer import answer, progress

if TYPE_CHECKING:
    from arsis.workflow.advise import Advice, Advised, Applied

PATH = click.Path(path_type=Path)
WIDTH = 100
UP_TO_DB = 1.5


@click.command(
    short_help="The least moves the evidence asks for, and what they will do; or leave it.",
    epilog="\b\nExample: arsis advise songs/low-water.toml\n         "
    "arsis advise songs/low-water.toml --apply chorus-step",
)
@click.argument("song", type=PATH)
@click.option("--apply", "apply_id", metavar="ID", help="Write this move into the plan as a new revision.")
@click.option(
    "--up-to", "most_db", type=click.FloatRange(0.1, 6.0), default=UP_TO_DB, show_default=True,
    help="The most that a move may do, in dB.",
)  # fmt: skip
@click.option(
    "--beside", multiple=True, type=PATH, help="A record to stand beside; may be given more than once."
)
@click.option(
    "--loud", is_flag=True, help="How loud it may become within the limits, and what more would cost."
)
@click.option(
    "--lufs", type=float, help="The loudness wanted, with --loud; as loud as the limits allow if not given."
)
@click.option("--json", "as_json", is_flag=True, help="One JSON document on standard output.")
def advise(
    song: Path,
    apply_id: str | None,
    most_db: float,
    beside: tuple[Path, ...],
    loud: bool,
    lufs: float | None,
    as_json: bool,
) -> None:
    """Listen to the print of SONG: section against section, and against records that you choose.

    Every figure under "then" is measured on a render with the move in it.
    """
    from arsis.workflow.advise import Wanted, advise_song, apply_advice

    if most_db != most_db:  # not a number passes every range
        raise ArsisError(f"--up-to {most_db:g}: not a number; allowed: 0.1 to 6 dB")
    if apply_id is not None and (beside or loud or lufs is not None):
        raise click.UsageError("--apply stands alone, or with --up-to: it takes one move that was advised.")
    with progress("listening") as bar:
        if apply_id is not None:
            done: Applied | Advised = apply_advice(song, apply_id, most_db, bar)
        else:
            done = advise_song(song, Wanted(most_db, beside, loud or lufs is not None, lufs), bar)
    answer(done, as_json, partial(_text, most_db))


def _text(most_db: float, done: Applied | Advised) -> str:
    from arsis.workflow.advise import Applied

    return applied_text(done) if isinstance(done, Applied) else advised_text(done, most_db)


def applied_text(done: Applied) -> str:
    return "\n".join(
        [
            f"{done.file}: {done.advice.move.says}",
            *(f"mind: {text}" for text in done.advice.conflicts),
            f"kept as revision {done.revision}; arsis restore {done.file} {done.before} goes back",
        ]
    )


def advised_text(done: Advised, most_db: float = UP_TO_DB) -> str:
    """most_db: the most that its moves may do; who takes one has to say it again."""
    from arsis.advice.finding import placed
    from arsis.advice.loudness_words import loudness_table, said

    parts = [_head(done)]
    if done.mix:
        parts.append("\n".join(_line(f"the mix: {placed(one)}. {one.means}") for one in done.mix))
    parts += [_one(one) for one in done.advice]
    if done.ask_mixer:
        parts.append("for the mixer:\n" + "\n".join(_line(text) for text in done.ask_mixer))
    if done.leave:
        parts.append("left alone:\n" + "\n".join(_line(text) for text in done.leave))
    if done.references:
        stands = [one.says for one in done.beside] or ["within what they do"]
        parts.append(f"beside {', '.join(done.references)}:\n" + "\n".join(_line(text) for text in stands))
    if done.loudness is not None:
        parts.append("\n".join(["loudness:", *(_line(text) for text in said(done.loudness))]))
        parts.append(loudness_table(done.loudness))
    if done.advice and done.file.endswith(".toml"):
        up_to = f" --up-to {most_db:g}" if most_db != UP_TO_DB else ""
        parts.append(f"to take one: arsis advise {done.file} --apply {done.advice[0].id}{up_to}")
    return "\n\n".join(part for part in parts if part)


def _head(done: Advised) -> str:
    count = len(done.advice)
    what = "leave it" if not count else "one move" if count == 1 else f"{count} moves"
    return f"{done.file}: {what}"


def _line(text: str) -> str:
    return fill(text, WIDTH, initial_indent="  ", subsequent_indent="    ")


def _one(one: Advice) -> str:
    from arsis.advice.predict_words import cost, does, then

    lines = [f"{one.id}   (sure: {percent(one.confidence)})", _line(one.evidence.says)]
    lines.append(_line(f"move: {does(one.move)}"))
    lines.append(_line(f"then: {then(one.evidence, one.predicted)}"))
    lines.append(_line(f"cost: {cost(one.predicted)}"))
    lines += [_line(f"mind: {text}") for text in one.conflicts]
    return "\n".join(lines)
