"""How a file differs from the one that should lie there: in its sound, or only in what stands round it."""

from __future__ import annotations

from pathlib import Path

from arsis.errors import SoundFileError
from arsis.io.chunks import RIFF_IDS, read_chunks
from arsis.io.read import open_sound

from .difference import difference


def unlike(found: Path, true: Path) -> str:
    """In words; both files are there and their bytes differ."""
    try:
        with open_sound(found) as one, open_sound(true) as other:
            what = difference(one, other)
    except SoundFileError as fault:
        return str(fault).removeprefix(f"{found}: ")
    return what or f"sound intact, {_round_it(found, true)}"


def _round_it(found: Path, true: Path) -> str:
    """Which chunks of a WAV file differ; other containers are only said to have other tags."""
    with found.open("rb") as file:
        if file.read(4) not in RIFF_IDS:
            return "other bytes round it"
    try:
        pairs = list(zip(read_chunks(found), read_chunks(true), strict=False))
        counts = len(read_chunks(found)), len(read_chunks(true))
    except SoundFileError as fault:
        return str(fault).removeprefix(f"{found}: ")
    names = [one[0].decode("latin-1").strip() for one, other in pairs if one != other]
    if names:
        return f"other bytes in its {' and '.join(dict.fromkeys(names))} chunk"
    return "other bytes round it" if counts[0] == counts[1] else f"{counts[0]} chunks in place of {counts[1]}"
