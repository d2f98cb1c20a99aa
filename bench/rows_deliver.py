"""The row of a delivery: a record of twelve songs in three profiles, against its encodes by ffmpeg alone.

The songs are one mix at 96 kHz under twelve plans, each through the whole chain of the bench: two passes,
joins, a limiter that works. ffmpeg reads the same file as often and writes the same kinds of files, and
nothing else: no passes, no limiter, no meters, no tags, no checksums, no sheets.
"""

from __future__ import annotations

import os
import shutil
from dataclasses import dataclass
from pathlib import Path

from .family import of_family
from .peers_programs import version
from .rows import Peer, Row
from .rows_process import WARNED, arsis
from .song import CACHE, LONG_RATE_HZ, long_material
from .timing import Cost
from .treatment import plan

SONGS = 12
SONG_S = 240.0
PROFILES = ("hires", "cd", "stream")
DATE = "2026-11-25"  # a delivery holds its date: with one date, all repetitions have the same bytes

# What is written of each song: hires and stream, then cd, and the coders that the profile `stream` tries.
_ENCODES = (
    "-c:a pcm_s24le {out}-hires.wav",
    "-c:a pcm_s24le {out}-stream.wav",
    "-ar 44100 -dither_method triangular -c:a pcm_s16le {out}-cd.wav",
    "-ar 48000 -c:a aac -b:a 256k {out}.m4a",
    "-ar 48000 -c:a libmp3lame -b:a 320k {out}.mp3",
    "-ar 48000 -c:a libvorbis -b:a 320k {out}.ogg",
    "-ar 48000 -c:a libopus -b:a 160k {out}.opus",
)


@dataclass(frozen=True, slots=True)
class Size:
    """How much is delivered; smaller for a test of the row itself."""

    songs: int = SONGS
    song_s: float = SONG_S
    cache: Path = CACHE

    @property
    def minutes(self) -> float:
        return self.songs * self.song_s / 60.0


def deliver_row(scratch: Path, size: Size | None = None) -> Row:
    """Once, without warming up: it takes minutes and gigabytes."""
    size = size or Size()
    release, encoded = scratch / "record", scratch / "encoded"
    costs: dict[str, Cost] = {}

    def ours() -> Cost:
        if not release.exists():
            make_release(release, size)
        shutil.rmtree(release / "deliveries", ignore_errors=True)
        profiles: list[str] = [word for name in PROFILES for word in ("--profile", name)]
        argv = [arsis(), "deliver", str(release), *profiles, "--date", DATE]
        costs["ours"] = of_family(argv, allowed=(0, WARNED))
        return costs["ours"]

    def ffmpeg() -> Cost:
        shutil.rmtree(encoded, ignore_errors=True)
        encoded.mkdir()
        costs["ffmpeg"] = of_family(("sh", "-c", encodes(release, encoded, size)))
        return costs["ffmpeg"]

    def notes() -> list[str]:
        mine, theirs = costs["ours"], costs["ffmpeg"]
        times = mine.wall_s / theirs.wall_s
        return [
            f"{size.minutes:g} min delivered in {mine.wall_s:.0f} s, {60.0 * size.minutes / mine.wall_s:.0f} "
            f"times real time for all three; ffmpeg, as many at once, {theirs.wall_s:.0f} s; {times:.1f} "
            "times as long"
        ]

    does = "encodes alone: no passes, joins, limiter, meters, decoding, tags, checksums or sheets"
    return Row(
        f"`arsis deliver`: {size.songs} songs, {size.minutes:g} min at {LONG_RATE_HZ // 1000} kHz, "
        f"{len(PROFILES)} profiles",
        ours,
        (Peer(version("ffmpeg"), ffmpeg, does),),
        notes=notes,
        is_long=True,
    )


def make_release(folder: Path, size: Size) -> None:
    """One mix under many plans: what is read is in memory for everyone, what is done is done each time."""
    mix = long_material(size.song_s, size.cache).sound
    (folder / "mixes").mkdir(parents=True)
    (folder / "songs").mkdir()
    os.link(mix, folder / "mixes" / "song.wav")
    entries = []
    for number in range(1, size.songs + 1):
        text = plan("mixes/song.wav", size.song_s).replace('"Bench"', f'"Song {number}"')
        (folder / "songs" / f"{number}.toml").write_text(text, encoding="utf-8")
        entries.append(f'[[song]]\nplan = "songs/{number}.toml"\n')
    head = 'schema = 1\ntitle = "Bench"\nartist = "Bench"\n\n'
    (folder / "release.toml").write_text(head + "\n".join(entries), encoding="utf-8")


def encodes(release: Path, target: Path, size: Size) -> str:
    """A line of shell that runs ffmpeg once for each song, as many at once as there are cores."""
    outs = " ".join(one.format(out=f"{target}/{{}}") for one in _ENCODES)
    one = f"ffmpeg -nostdin -v error -y -i {release}/mixes/song.wav {outs}"
    cores = len(os.sched_getaffinity(0))
    return f"seq {size.songs} | xargs -P {cores} -I '{{}}' {one}"
