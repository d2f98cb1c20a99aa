"""What the files of a delivery are called, fit for every system."""

from __future__ import annotations

import re

from arsis.io.names import fit_stem
from arsis.plan.profile import Profile

from .order import ENDS

_BRACKETED = re.compile(r"\(\{version\}\)|\[\{version\}\]")


def song_file(
    profile: Profile, place: int, title: str, artist: str, isrc: str | None, version: str | None = None
) -> str:
    """The name of a song's file, or of one of its versions'."""
    said = {"place": f"{place:02d}", "title": title, "artist": artist, "isrc": isrc or ""}
    # A song's own file has no version: brackets round it in the pattern are not left there empty.
    pattern = profile.file_name if version else _BRACKETED.sub("", profile.file_name)
    stem = pattern.format(**said, version=version or "")
    behind = version is not None and "{version}" not in profile.file_name
    # Not only empty: a name of nothing but what no system takes is none either.
    return (fit_stem(stem, f"({version})" if behind else "") or f"{place:02d}") + ENDS[profile.container]


def assembly_file(profile: Profile, title: str, side: str = "") -> str:
    """The name of the record as one continuous file, or of one of its sides, told however long the title."""
    return fit_stem(f"00 {title}", f"side {side}" if side else "") + ENDS[profile.container]
