"""Every sheet of a delivery, written whole."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from pathlib import Path

from arsis.deliver.manifest import Document, Manifest
from arsis.deliver.manifest_file import in_order
from arsis.errors import ArsisError
from arsis.io.whole import refused, write_bytes_whole
from arsis.plan.model import Release, Song
from arsis.plan.profile import Profile

from .cue import cue_sheets
from .extra import Extra
from .track_sheet import track_sheet_text
from .track_table import track_sheet_csv
from .tracks import sides_of

FOLDER = "paperwork"  # inside a delivery


def write_paperwork(
    folder: Path,
    manifest: Manifest,
    songs: Sequence[Song],
    release: Release,
    profile: Profile,
    extra: Extra | None = None,
) -> tuple[Document, ...]:
    """Writes the sheets of a delivery into its `paperwork/` and returns their entries for the manifest.

    folder: of the delivery, or where it is being made. manifest: with all its sounds; its documents do not
    matter. songs: the frozen plans, in the release's order. Raises ArsisError where the disk refuses.
    """
    sheets = sheets_of(in_order(manifest), songs, release, profile, extra or Extra())
    home = folder / FOLDER
    try:
        home.mkdir(parents=True, exist_ok=True)
    except OSError as fault:
        raise refused(home, fault, ArsisError) from fault
    for name, data in sheets.items():
        write_bytes_whole(home / name, data)
    return tuple(
        Document(path=f"{FOLDER}/{name}", sha256=hashlib.sha256(data).hexdigest(), bytes=len(data))
        for name, data in sorted(sheets.items())
    )


def sheets_of(
    manifest: Manifest, songs: Sequence[Song], release: Release, profile: Profile, extra: Extra
) -> dict[str, bytes]:
    """The bytes of every sheet by its name; the same for the same data."""
    sides = sides_of(manifest, release)
    texts = {
        "track-sheet.txt": track_sheet_text(manifest, release, sides),
        "track-sheet.csv": track_sheet_csv(manifest, release, sides),
        **cue_sheets(manifest, sides),
    }
    return {name: text.encode() for name, text in texts.items()}
