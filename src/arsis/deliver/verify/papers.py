"""Is every sheet there, and do those that follow from the manifest alone still say what it says?"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import takewhile, zip_longest

from arsis.deliver.paperwork.extra import Extra
from arsis.deliver.paperwork.write import FOLDER, sheets_of
from arsis.errors import ArsisError
from arsis.version import VERSION

from .delivery import Delivery
from .finding import Finding

# Sheets of other facts than the manifest's are known by their digests only.
_FOLLOWING = tuple(f"{FOLDER}/track-sheet.{end}" for end in ("txt", "csv", "html"))
_MOST_SHOWN = 80  # characters of a line, from a little before where it differs
_SHOWN_BEFORE = 20


def check_paperwork(delivery: Delivery) -> Iterator[Finding]:
    """Every sheet, then track sheets and cue sheets line by line, against what the manifest makes of them."""
    manifest, release = delivery.manifest, delivery.release
    profile, songs = delivery.profile, delivery.songs
    if release is None or profile is None or songs is None or len(songs) != len(release.song):
        return  # said by the check of the manifest
    try:
        sheets = sheets_of(manifest, songs, release, profile, Extra())
    except (ArsisError, ValueError, LookupError) as fault:
        yield Finding(file=FOLDER, check="paperwork", what=f"no sheets follow from the manifest: {fault}")
        return
    is_of_this_version = manifest.arsis == VERSION  # another may have other sheets, or word them otherwise
    for path, made in sheets.items():
        on_disk = delivery.files.get(path)
        if is_of_this_version and delivery.digest(path) is None:
            yield Finding(file=path, check="paperwork", what="missing: every delivery like this one has it")
        if on_disk is None or not on_disk.sha256 or not (path in _FOLLOWING or path.endswith(".cue")):
            continue
        if is_of_this_version or not delivery.is_as_delivered(path):  # then only a changed one is looked into
            found = (delivery.folder / path).read_bytes()
            yield from _lines(path, made.decode(), found.decode("utf-8", "replace"))


def _lines(path: str, made: str, found: str) -> Iterator[Finding]:
    pairs = zip_longest(made.splitlines(), found.splitlines())
    for number, (expected, is_found) in enumerate(pairs, start=1):
        if expected != is_found:
            both = zip(_plain(expected or ""), _plain(is_found or ""), strict=False)
            same = len(list(takewhile(lambda pair: pair[0] == pair[1], both)))
            yield Finding(
                file=path,
                check="paperwork",
                what=f"line {number} is not what the manifest says",
                expected=_shown(expected, same),
                found=_shown(is_found, same),
            )
            return


def _plain(line: str) -> str:
    return " ".join(line.split())


def _shown(line: str | None, same: int) -> str:
    """A line; of a long one what lies where it differs. same: so many characters are those of the other."""
    if line is None:
        return "no such line"
    text = _plain(line)
    start = max(0, same - _SHOWN_BEFORE) if len(text) > _MOST_SHOWN else 0
    end = start + _MOST_SHOWN
    return f"{'…' if start else ''}{text[start:end]}{'…' if end < len(text) else ''}"
