"""Openly licensed music out of Debian's packages: fetched, unpacked and laid out as 24-bit mixes.

Nothing is installed and nothing is kept outside .cache/real.
"""

from __future__ import annotations

import fnmatch
import re
import shutil
import subprocess
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from arsis.audio import BLOCK_FRAMES, Block
from arsis.dsp.dither import Quantiser
from arsis.io.read import open_sound
from arsis.io.write import write_sound
from arsis.units import db_to_gain

from .real_meters import Ours, measured

CACHE = Path(".cache/real")
HEADROOM_DBTP = -1.5  # the published songs reach full scale and beyond: a mix comes in below it

# package: where its music lies, and the songs that are taken
MUSIC = {
    "hyperrogue-music": (
        "usr/share/hyperrogue/music",
        ("hr-domina-mountain", "hr-savino-caribbean", "hr3-desert", "hr3-hell", "hr3-rlyeh"),
    ),
    "pushover-data": ("usr/share/pushover/themes", ("aztec", "electro", "japanese", "space")),
    "zaz-data": ("usr/share/games/zaz", ("mus1", "mus2", "mus4")),
    "frozen-bubble-data": (
        "usr/share/games/frozen-bubble/snd",
        ("frozen-mainzik-1p", "introzik"),
    ),
}


class NotToBeHadError(Exception):
    """The music cannot be fetched here."""


@dataclass(frozen=True, slots=True)
class RealSong:
    """A published song: where it lies and whose it is, as the package's copyright file says."""

    name: str
    package: str
    published: Path
    authors: str
    licence: str


@dataclass(frozen=True, slots=True)
class RealMix:
    """A song as a mix that came in: 24 bits, its true peak brought under HEADROOM_DBTP."""

    song: RealSong
    path: Path
    published: Ours
    level_db: float


def real_songs(cache: Path = CACHE) -> list[RealSong]:
    """Fetches what is not there yet. Raises NotToBeHadError with the reason."""
    songs = []
    for package, (folder, names) in MUSIC.items():
        root = unpacked(package, cache)
        stanzas = _stanzas((root / "usr/share/doc" / package / "copyright").read_text(encoding="utf-8"))
        for name in names:
            path = root / folder / f"{name}.ogg"
            if not path.exists():
                raise NotToBeHadError(
                    f"{package} has no {folder}/{name}.ogg: another version of the package?"
                )
            songs.append(RealSong(name, package, path, *_owner(stanzas, path)))
    return songs


def bring_in(song: RealSong, folder: Path) -> RealMix:
    """Writes the song into `folder` as a mix."""
    heard = measured(song.published)
    level_db = min(0.0, HEADROOM_DBTP - heard.true_peak_dbtp)
    out = folder / f"{song.name}.wav"
    folder.mkdir(parents=True, exist_ok=True)
    quantiser = Quantiser(24, heard.channels, seed=1)
    with (
        open_sound(song.published) as sound,
        write_sound(out, heard.rate_hz, heard.channels, encoding="pcm_s24") as mix,
    ):
        while (block := sound.read(BLOCK_FRAMES)).shape[1]:
            mix.write(quantiser.process(np.ascontiguousarray(block * db_to_gain(level_db))))
    return RealMix(song, out, heard, level_db)


def decoded(song: RealSong) -> tuple[Block, int]:
    """The published file as floats, and its rate."""
    with open_sound(song.published) as sound:
        return sound.read(sound.info.frames), sound.info.rate_hz


def unpacked(package: str, cache: Path) -> Path:
    root = cache / package
    if root.exists():
        return root
    for program in ("apt-get", "dpkg-deb"):
        if shutil.which(program) is None:
            raise NotToBeHadError(f"{program} is not here: the music comes out of Debian's packages")
    debs = cache / "deb"
    debs.mkdir(parents=True, exist_ok=True)
    if not list(debs.glob(f"{package}_*.deb")):
        _run(["apt-get", "download", package], debs, package)
    half = cache / f".{package}"
    shutil.rmtree(half, ignore_errors=True)
    _run(["dpkg-deb", "-x", str(next(debs.glob(f"{package}_*.deb")).resolve()), str(half)], None, package)
    return half.rename(root)


def _run(command: list[str], folder: Path | None, package: str) -> None:
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True)
    if done.returncode:
        why = (done.stderr.strip() or done.stdout.strip() or "no reason given").splitlines()[-1]
        raise NotToBeHadError(f"{package}: {command[0]} says: {why} (is `apt-get update` due?)")


def _stanzas(text: str) -> list[dict[str, str]]:
    """The paragraphs of a machine-readable copyright file (Debian policy, copyright-format 1.0)."""
    found = []
    for paragraph in text.split("\n\n"):
        fields: dict[str, str] = {}
        key = ""
        for line in paragraph.splitlines():
            if line[:1].isspace():
                fields[key] = fields.get(key, "") + "\n" + line.strip()
            else:
                key, _, value = line.partition(":")
                fields[key] = value.strip()
        found.append(fields)
    return [fields for fields in found if "Files" in fields]


def _owner(stanzas: list[dict[str, str]], path: Path) -> tuple[str, str]:
    """Authors and licence of a file: the last paragraph that fits counts.

    Where a paragraph says who did what, those of the music are named.
    """
    fits = [fields for fields in stanzas if any(_fits(p, path) for p in fields["Files"].split())]
    lines = [
        re.sub(r"\s*(<.*?>|\(https?:.*?\))", "", line) for line in fits[-1]["Copyright"].splitlines() if line
    ]
    music = [line for line in lines if "(Music" in line]
    return "; ".join(music or lines), fits[-1]["License"].splitlines()[0]


def _fits(pattern: str, path: Path) -> bool:
    """Patterns name files of the source, which may lie in another folder once installed."""
    name = pattern.rpartition("/")[2]
    return (
        pattern == "*"
        or fnmatch.fnmatch(str(path), f"*/{pattern}")
        or (name != "*" and fnmatch.fnmatch(path.name, name))
    )
