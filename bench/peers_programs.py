"""Debian's ffmpeg and sox as programs."""

from __future__ import annotations

import re
import subprocess
from functools import cache
from pathlib import Path

from .rows import Peer, Run
from .timing import of_process
from .treatment import BANDS, CEILING_DBTP, DRIVE_DB, LEVEL_DB, gain, graph

_QUIET = ("ffmpeg", "-nostdin", "-v", "error", "-y")


@cache
def version(program: str) -> str:
    """As the program gives it: name and number."""
    shown = subprocess.run(
        [program, "-version" if program == "ffmpeg" else "--version"], capture_output=True, text=True
    )
    found = re.search(r"\d+\.\d+(\.\d+)?", shown.stdout)
    return f"{program} {found.group() if found else ''}".strip()


def ffmpeg_chain(source: Path, target: Path, rate_hz: int, goal: float) -> Peer:
    argv = (
        *_QUIET,
        "-i",
        source,
        "-filter_complex",
        graph(rate_hz),
        "-map",
        "[o]",
        "-c:a",
        "pcm_s24le",
        target,
    )
    does = "sample peaks at 4 times the rate for true ones; no dither, no report of sections"
    return Peer(version("ffmpeg"), lambda: of_process(argv), does, goal)


def sox_chain(source: Path, target: Path, rate_hz: int, goal: float) -> Peer:
    """Both passes of the whole song mixed, since sox has no joins."""
    passes = [_sox_pass(source, name) for name in BANDS]
    level = f"{DRIVE_DB - CEILING_DBTP:g}"
    limiter = (
        "rate",
        str(4 * rate_hz),
        "gain",
        "-l",
        level,
        "gain",
        f"{CEILING_DBTP:g}",
        "rate",
        str(rate_hz),
    )
    argv = (
        "sox",
        "-V1",
        "-m",
        "-v",
        "0.5",
        passes[0],
        "-v",
        "0.5",
        passes[1],
        "-b",
        "24",
        target,
        *limiter,
        "dither",
    )
    return Peer(
        version("sox"), lambda: of_process(argv), "no joins, no meters, a limiter without release", goal
    )


def _sox_pass(source: Path, name: str) -> str:
    bands = " ".join(f"equalizer {f} {q}q {g}" for f, g, q in BANDS[name])
    return f"|sox -V1 {source} -p {bands} vol {gain(LEVEL_DB[name]):.6f}"


def ffmpeg_meters(source: Path, goal: float) -> Peer:
    argv = (
        "ffmpeg",
        "-nostdin",
        "-nostats",
        "-i",
        source,
        "-filter_complex",
        "ebur128=peak=true:framelog=verbose",
    )
    does = "no correlation, PSR or DC; true peak at 4 times the rate, ours at 16"
    return Peer(version("ffmpeg"), lambda: of_process((*argv, "-f", "null", "-")), does, goal)


def sox_dither(source: Path, target: Path, shaped: bool, goal: float) -> Peer:
    """To 16 bits with dither, less the same without."""
    effect = ("dither", "-s") if shaped else ("dither",)
    plain = ("sox", "-V1", "-D", source, "-b", "16", target)
    without: Run = lambda: of_process(plain)  # noqa: E731
    return Peer(version("sox"), lambda: of_process((*plain, *effect)), "", goal, without)
