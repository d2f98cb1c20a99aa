"""`arsis codecs`: what it takes, and what it says."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from arsis.report.text import NOTHING, change, clock, number, table

from .answer import answer, progress

if TYPE_CHECKING:  # results only name types here; their modules load numpy
    from arsis.deliver.codec_check import CodecChecked
    from arsis.deliver.codec_search import CeilingFound
    from arsis.workflow.codecs import CodecsTried

PATH = click.Path(path_type=Path)
BANDS = ("low", "low_mid", "mid", "presence", "air")


@click.command(
    short_help="What lossy coders do to a song or a file.",
    epilog="\b\nExample: arsis codecs songs/low-water.toml --codec aac:256 --codec opus:160 --search",
)
@click.argument("song", type=PATH)
@click.option(
    "--codec",
    "codings",
    multiple=True,
    help="One of mp3, aac, opus, vorbis with its kbit/s, as in aac:256; those of the profile `stream` "
    "when not given.",
)
@click.option(
    "--limit-dbtp",
    type=click.FloatRange(-12.0, 12.0),
    help="What decoded peaks may have, dBTP. When not given: 0 for a --codec, else what the profile says.",
)
@click.option("--search", is_flag=True, help="Find the ceiling that keeps each of them under that limit.")
@click.option("--json", "as_json", is_flag=True, help="One JSON document on standard output.")
def codecs(
    song: Path, codings: tuple[str, ...], limit_dbtp: float | None, search: bool, as_json: bool
) -> None:
    """Take the print of SONG, or a sound file as it stands, through lossy coders and back: true peaks,
    loudness and bands of what is decoded, section by section. Exit status 3 where peaks pass the limit."""
    from arsis.workflow.codecs import song_codecs

    with progress("coding") as bar:
        tried = song_codecs(song, codings, limit_dbtp=limit_dbtp, search=search, progress=bar)
    answer(tried, as_json, codecs_text)


def codecs_text(tried: CodecsTried) -> str:
    """A line for each coder, one for each section where it passes the limit, and the ceilings found."""
    if not tried.checks:
        return f"{tried.file}: nothing was tried"
    parts = [_head(tried.checks[0], tried.file), _coders(tried.checks)]
    parts += [_sections(check) for check in tried.checks if not check.holds and check.sections]
    if tried.ceilings:
        parts.append(_ceilings(tried.ceilings))
    return "\n\n".join(parts)


def _head(check: CodecChecked, file: str) -> str:
    return (
        f"{file}: {number(check.source_integrated_lufs)} LUFS, {number(check.source_true_peak_dbtp)} dBTP "
        "before coding"
    )


def _coders(checks: Sequence[CodecChecked]) -> str:
    heads = ("coder", "kbit/s", "dBTP", "at", "over 0", "over limit", "LU", *_band_heads(), "cut")
    rows = [
        (
            check.codec,
            f"{check.kbps:g}",
            number(check.true_peak_dbtp, 2),
            clock(check.true_peak_at_s),
            str(check.overs_full_scale),
            f"{check.overs} ({number(check.most_dbtp)})",
            change(check.loudness_change_lu, 2),
            *(change(getattr(check.bands_change_db, band)) for band in BANDS),
            NOTHING if check.cut_above_hz is None else f"{check.cut_above_hz / 1000.0:g} kHz",
        )
        for check in checks
    ]
    note = (
        "over 0, over limit: stretches whose decoded true peaks pass 0 dBTP and the limit; LU: change of "
        "loudness;\nbands: change of level, dB; cut: the coder leaves nothing above"
    )
    return f"{table(heads, rows)}\n{note}"


def _band_heads() -> tuple[str, ...]:
    return tuple(band.replace("_", " ") for band in BANDS)


def _sections(check: CodecChecked) -> str:
    rows = [
        (
            section.name,
            clock(section.start_s),
            number(section.source_true_peak_dbtp, 2),
            number(section.true_peak_dbtp, 2),
            str(section.overs),
            change(section.loudness_change_lu, 2),
            *(change(getattr(section.bands_change_db, band)) for band in BANDS),
        )
        for section in check.sections
    ]
    heads = (f"{check.codec} {check.kbps:g}", "from", "dBTP in", "out", "over", "LU", *_band_heads())
    return table(heads, rows)


def _ceilings(ceilings: Sequence[CeilingFound]) -> str:
    kind = "ceiling" if ceilings[0].by == "limiter" else "gain"
    rows = [
        (
            found.codec,
            f"{found.kbps:g}",
            number(found.limit_dbtp),
            number(found.start_db),
            number(found.value_db),
            change(found.loudness_change_lu, 2),
            number(found.took_max_before_db),
            number(found.took_max_db),
            str(len(found.tries)),
        )
        for found in ceilings
    ]
    heads = ("coder", "kbit/s", "limit", kind, "needed", "LU", "took", "then", "tries")
    note = (
        f"needed: the {kind} that keeps what is decoded under the limit, as tried; LU: what that costs of "
        "loudness;\ntook, then: what the limiter takes at most now and there, dB"
    )
    return f"{table(heads, rows)}\n{note}"
