"""Do the sheets that follow from the manifest alone still say what it says?"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import zip_longest

from arsis.deliver.paperwork.extra import Extra
from arsis.deliver.paperwork.write import FOLDER, sheets_of
from arsis.errors import ArsisError
from arsis.version import VERSION

from .delivery import Delivery
from .finding import Finding

# Sheets of other facts than the manifest's are known by their digests only.
_FOLLOWING = (f"{FOLDER}/track-sheet.txt", f"{FOLDER}/track-sheet.csv")


def check_paperwork(delivery: Delivery) -> Iterator[Finding]:
    """Track sheets and cue sheets, line by line, against what the manifest makes of them."""
    if delivery.release is None or delivery.profile is None or delivery.songs is None:
        return
    if len(delivery.songs) != len(delivery.release.song):
        return  # said by the check of the manifest
    try:
        sheets = sheets_of(delivery.manifest, delivery.songs, delivery.release, delivery.profile, Extra())
    except (ArsisError, ValueError, LookupError) as fault:
        yield Finding(file=FOLDER, check="paperwork", what=f"no sheets follow from the manifest: {fault}")
        return
    for path, made in sheets.items():
        on_disk = delivery.files.get(path)
        if on_disk is None or not on_disk.sha256 or not (path in _FOLLOWING or path.endswith(".cue")):
            continue
        # Another version may word a sheet otherwise; then only a changed one is looked into.
        if delivery.manifest.arsis == VERSION or not delivery.is_as_delivered(path):
            found = (delivery.folder / path).read_bytes()
            yield from _lines(path, made.decode(), found.decode("utf-8", "replace"))


def _lines(path: str, made: str, found: str) -> Iterator[Finding]:
    pairs = zip_longest(made.splitlines(), found.splitlines())
    for number, (expected, is_found) in enumerate(pairs, start=1):
        if expected != is_found:
            yield Finding(
                file=path,
                check="paperwork",
                what=f"line {number} is not what the manifest says",
                expected=_shown(expected),
                found=_shown(is_found),
            )
            return


def _shown(line: str | None) -> str:
    return "no such line" if line is None else " ".join(line.split())
