"""Rows that run whole programs, as a user starts them."""

from __future__ import annotations

import shutil
import sys
from pathlib import Path

from . import peers_programs as programs
from .rows import Peer, Row
from .song import RATE_HZ, Material
from .timing import of_process
from .treatment import BANDS

WARNED = 3  # the print is made, and its limiter took much: it is meant to here


def arsis() -> str:
    """The installed program beside this interpreter."""
    beside = Path(sys.executable).with_name("arsis")
    found = str(beside) if beside.exists() else shutil.which("arsis")
    if found is None:
        raise SystemExit("bench: arsis is not installed beside this Python; `make bench` installs it")
    return found


def process_rows(material: Material, scratch: Path) -> tuple[Row, ...]:
    return chain_row(material, scratch), measure_row(material), help_row()


def chain_row(material: Material, scratch: Path) -> Row:
    """Read, two passes of six bands, joins, limiter, meters, dither, write."""
    argv = (arsis(), "print", material.plan, "--out", scratch / "ours.wav")
    return Row(
        f"the whole chain: `arsis print`, {material.seconds:g} s, 2 × {len(BANDS['A'])} bands",
        lambda: of_process(argv, allowed=(0, WARNED)),
        (
            _av_chain(material.sound, scratch / "av.wav", 5.0),
            programs.ffmpeg_chain(material.sound, scratch / "ffmpeg.wav", RATE_HZ, 10.0),
            programs.sox_chain(material.sound, scratch / "sox.wav", RATE_HZ, 5.0),
        ),
        most_mb=64.0,
    )


def _av_chain(source: Path, target: Path, goal: float) -> Peer:
    from .peers_av import NAME

    argv = (sys.executable, Path(__file__).with_name("peer_av_chain.py"), source, target)
    does = "sample peaks at 4 times the rate for true ones; no dither, no report of sections"
    return Peer(NAME, lambda: of_process(argv), does, goal)


def measure_row(material: Material) -> Row:
    return Row(
        f"the meters: `arsis measure`, {material.seconds:g} s",
        lambda: of_process((arsis(), "measure", material.sound)),
        (programs.ffmpeg_meters(material.sound, 3.0),),
        most_mb=64.0,
    )


def help_row() -> Row:
    return Row("`arsis --help`", lambda: of_process((arsis(), "--help")), most_cpu_s=0.1)
