"""`arsis COMMAND`: what each command takes. The work is in `workflow`, the wording in `show`.

Heavy imports stay inside the commands, so that `arsis --help` answers at once.
"""

from __future__ import annotations

import os
from pathlib import Path

import click

from arsis.version import VERSION

from .advise import advise
from .answer import Commands, answer, progress
from .codecs import codecs
from .deliver import deliver
from .desk import desk
from .examine import examine
from .profiles import profiles
from .record import record
from .sections import sections
from .verify import verify

PATH = click.Path(path_type=Path)
as_json = click.option("--json", "as_json", is_flag=True, help="One JSON document on standard output.")
song = click.argument("song", type=PATH)


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(VERSION, message="arsis %(version)s")
def main() -> None:
    """The shape of a song across its sections: seen, decided, heard, printed, proved, recalled.

    SONG is a plan (songs/NAME.toml), or a sound file where no plan is needed. Exit status: 0 done;
    1 what was asked about does not hold; 2 the request, a document or a file is at fault; 3 done,
    with a warning that must be seen.
    """
    # Numpy is not loaded yet. Its BLAS would else start threads that spin on small work and slow it down.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")


@main.command(
    short_help="A demo release, made and taken through the job.",
    epilog="\b\nExample: arsis demo tide-tables",
)
@click.argument("folder", type=PATH)
@as_json
def demo(folder: Path, as_json: bool) -> None:
    """Make a small release of its own songs and take it through the whole job."""
    from arsis.workflow.demo import run_demo

    from .show import demo_text

    answer(run_demo(folder, (lambda line: None) if as_json else click.echo), as_json, demo_text)


@main.command(
    short_help="A new release folder from mixes, with plans.",
    epilog="\b\nExample: arsis start tide-tables mixes/low-water.wav mixes/harbour-lights.wav",
)
@click.argument("folder", type=PATH)
@click.argument("mix", nargs=-1, required=True, type=PATH)
@click.option("--title", help="Title of the release; the folder's name when not given.")
@as_json
def start(folder: Path, mix: tuple[Path, ...], title: str | None, as_json: bool) -> None:
    """Make a release FOLDER from MIXes: examine them, find their sections, write their plans."""
    from arsis.workflow.start import start_release

    from .show import start_text

    with progress("reading mixes") as bar:
        made = start_release(folder, mix, title, bar)
    answer(made, as_json, start_text)


main.add_command(examine)


@main.command(epilog="\b\nExample: arsis measure prints/low-water.wav --json")
@click.argument("file", nargs=-1, required=True, type=PATH)
@as_json
def measure(file: tuple[Path, ...], as_json: bool) -> None:
    """The standard meters of any sound FILE."""
    from arsis.workflow.measure import measure_files

    from .show import measure_text

    with progress("measuring") as bar:
        measured = measure_files(file, bar)
    answer(measured, as_json, measure_text)


main.add_command(sections)


@main.command(
    short_help="Mix and print, section by section.",
    epilog="\b\nExample: arsis contour songs/low-water.toml",
)
@song
@as_json
def contour(song: Path, as_json: bool) -> None:
    """Mix and print, section by section: loudness, step, bands, width, attack, took."""
    from arsis.workflow.contour import song_contour

    from .show import contour_text

    with progress("rendering") as bar:
        shape = song_contour(song, bar)
    answer(shape, as_json, contour_text)


main.add_command(advise)


@main.command(
    name="print",
    epilog="\b\nExample: arsis print songs/low-water.toml --bits 16 --rate 44100 --out low-water.wav",
)
@song
@click.option("--out", type=PATH, help="Where to: .wav, .flac or .aiff; prints/NAME.wav when not given.")
@click.option("--pass", "pass_name", help="Print this pass alone over the whole song, without the finish.")
@click.option("--version", help="Print this version (instrumental …) with what the main one decided.")
@click.option("--rate", "rate_hz", type=int, help="Delivered rate in Hz; the mix's own when not given.")
@click.option(
    "--bits",
    type=click.Choice(["16", "24", "32", "32f"]),
    help="Word length; 24, or 32f for a floating-point mix, when not given.",
)
@as_json
def print_(
    song: Path,
    out: Path | None,
    pass_name: str | None,
    version: str | None,
    rate_hz: int | None,
    bits: str | None,
    as_json: bool,
) -> None:
    """Render the plan of SONG."""
    from arsis.workflow.print import print_song

    from .show import print_text

    with progress("printing") as bar:
        made = print_song(
            song,
            out=out,
            pass_name=pass_name,
            version=version,
            rate_hz=rate_hz,
            bits=bits,
            progress=bar,
        )
    answer(made, as_json, print_text)


@main.command(
    short_help="One page about a print.",
    epilog="\b\nExample: arsis report songs/low-water.toml",
)
@song
@click.option("--out", type=PATH, help="Where to; reports/NAME.html when not given.")
@as_json
def report(song: Path, out: Path | None, as_json: bool) -> None:
    """One page about a print: its shape, its joins, what the limiter took, and the plan."""
    from arsis.workflow.report import song_report

    from .show import report_text

    with progress("rendering") as bar:
        made = song_report(song, out, bar)
    answer(made, as_json, report_text)


@main.command(
    short_help="The difference of two files, aligned and matched.",
    epilog="\b\nExample: arsis compare mixes/low-water.wav prints/low-water.wav",
)
@click.argument("a", type=PATH)
@click.argument("b", type=PATH)
@as_json
def compare(a: Path, b: Path, as_json: bool) -> None:
    """The difference of two files, aligned and level-matched: where, in which bands, how much."""
    from arsis.workflow.compare import compare_files

    from .show import compare_text

    with progress("comparing") as bar:
        found = compare_files(a, b, bar)
    answer(found, as_json, compare_text)


@main.command(epilog='\b\nExample: arsis keep songs/low-water.toml -m "second refrain up a little"')
@song
@click.option("-m", "--note", required=True, help="What this state is.")
@as_json
def keep(song: Path, note: str, as_json: bool) -> None:
    """Keep the plan's present state as a numbered revision."""
    from arsis.workflow.revisions import keep as keep_revision

    from .show import keep_text

    answer(keep_revision(song, note), as_json, keep_text)


@main.command(epilog="\b\nExample: arsis revisions songs/low-water.toml")
@song
@as_json
def revisions(song: Path, as_json: bool) -> None:
    """List the kept revisions."""
    from arsis.workflow.revisions import revisions as kept_revisions

    from .show import revisions_text

    answer(kept_revisions(song), as_json, revisions_text)


@main.command(
    short_help="Make the plan what it was in a revision.",
    epilog="\b\nExample: arsis restore songs/low-water.toml 1",
)
@song
@click.argument("number", type=int)
@as_json
def restore(song: Path, number: int, as_json: bool) -> None:
    """Make the plan what it was in revision NUMBER; what stands there now is kept first."""
    from arsis.workflow.revisions import restore as restore_revision

    from .show import restore_text

    answer(restore_revision(song, number), as_json, restore_text)


@main.command(
    short_help="What changed between two revisions, or since one.",
    epilog="\b\nExample: arsis diff songs/low-water.toml 1 2",
)
@song
@click.argument("first", type=int)
@click.argument("second", type=int, required=False)
@as_json
def diff(song: Path, first: int, second: int | None, as_json: bool) -> None:
    """What changed from revision FIRST to SECOND, or to the plan as it is now."""
    from arsis.workflow.revisions import diff as diff_revisions

    from .show import diff_text

    answer(diff_revisions(song, first, second), as_json, diff_text)


main.add_command(codecs)
main.add_command(record)
main.add_command(profiles)
main.add_command(deliver)
main.add_command(verify)
main.add_command(desk)
