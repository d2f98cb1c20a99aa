"""The rows of found sections: beside librosa's published chain, as a process, and of an hour."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from importlib.metadata import PackageNotFoundError, version

from .form.finder import found_in
from .form.rivals import librosa_chain
from .rows import Peer, Row
from .song import Material
from .timing import Cost, of_call, of_process

HOUR_S = 3_600.0
PARTS = 8  # librosa's clustering has to be told how many


def section_rows(material: Material) -> Iterator[Row]:
    """The file is read in each of them."""
    yield Row(
        f"found sections of {material.seconds:g} s, warm",
        lambda: of_call(lambda: found_in(material.sound)),
        tuple(_librosa(material)),
        most_cpu_s=1.0,
    )
    yield Row(
        f"found sections of {material.seconds:g} s, a process",
        lambda: _process(material, 1),
        most_mb=150.0,
        notes=lambda: _of_an_hour(material),
    )


def _librosa(material: Material) -> Iterator[Peer]:
    try:
        name = f"librosa {version('librosa')}"
    except PackageNotFoundError:
        return
    does = "beats, and a segmentation that is told how many; no letters, no down-beats, no joins"
    yield Peer(name, lambda: of_call(lambda: librosa_chain(material.sound, PARTS)), does, goal=8.0)


def _process(material: Material, times: int) -> Cost:
    return of_process([sys.executable, "-m", "bench.form.finder", material.sound, str(times)])


def _of_an_hour(material: Material) -> list[str]:
    """The song over and over; warm, so that what starting costs is left out."""
    times = round(HOUR_S / material.seconds)
    song, hour = (of_call(lambda times=times: found_in(material.sound, times)) for times in (1, times))
    return [
        f"an hour ({times} times the song): {hour.cpu_s:.1f} s warm, {times * song.cpu_s:.1f} s if time were "
        f"linear; as a process {_process(material, times).peak_mb:.0f} MB"
    ]
