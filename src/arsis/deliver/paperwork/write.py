"""Every sheet of a delivery, written whole."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from pathlib import Path, PurePosixPath

from arsis.deliver.manifest import Document, Manifest
from arsis.deliver.manifest_file import in_order
from arsis.errors import ArsisError
from arsis.io.whole import refused, write_bytes_whole
from arsis.plan.model import Release, Song
from arsis.plan.profile import Profile

from .cue import cue_sheets
from .delivery_report import report_page
from .extra import Extra
from .notes import notes_to_artist, notes_to_mixer
from .pdf import pdf_of
from .recall import recalled
from .recall_sheet import recall_page, recall_text
from .track_page import track_sheet_page
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
    """Writes the sheets of a delivery and returns their entries for the manifest: cue sheets beside the
    sound that they name, the others in `paperwork/`.

    folder: of the delivery, or where it is being made. manifest: with all its sounds; its documents do not
    matter. songs: the frozen plans, in the release's order. Raises ArsisError where the disk refuses.
    """
    sheets = sheets_of(in_order(manifest), songs, release, profile, extra or Extra())
    sheets |= _on_paper(sheets)
    home = folder / FOLDER
    try:
        home.mkdir(parents=True, exist_ok=True)
    except OSError as fault:
        raise refused(home, fault, ArsisError) from fault
    for path, data in sheets.items():
        write_bytes_whole(folder / path, data)
    return tuple(
        Document(path=path, sha256=hashlib.sha256(data).hexdigest(), bytes=len(data))
        for path, data in sorted(sheets.items())
    )


def sheets_of(
    manifest: Manifest, songs: Sequence[Song], release: Release, profile: Profile, extra: Extra
) -> dict[str, bytes]:
    """The bytes of every sheet but those for paper, by path in the delivery; the same for the same data."""
    sides = sides_of(manifest, release)
    recall = recalled(manifest, songs, release, profile, extra)
    texts = {
        "track-sheet.txt": track_sheet_text(manifest, release, sides),
        "track-sheet.csv": track_sheet_csv(manifest, release, sides),
        "track-sheet.html": track_sheet_page(manifest, release, sides),
        "recall.txt": recall_text(manifest, recall),
        "recall.html": recall_page(manifest, release, recall),
        "report.html": report_page(manifest, songs, release, profile, sides, extra),
        "notes-artist.txt": notes_to_artist(manifest, profile, sides, extra),
        "notes-mixer.txt": notes_to_mixer(manifest, songs, release, profile, extra),
    }
    placed = {f"{FOLDER}/{name}": text for name, text in texts.items()} | cue_sheets(manifest, sides)
    return {path: text.encode() for path, text in placed.items()}


def _on_paper(sheets: dict[str, bytes]) -> dict[str, bytes]:
    """Every page as PDF; none where the library for it is not installed."""
    pages = {PurePosixPath(path): data for path, data in sheets.items() if path.endswith(".html")}
    made = {str(path.with_suffix(".pdf")): pdf_of(data.decode()) for path, data in pages.items()}
    return {path: data for path, data in made.items() if data is not None}
