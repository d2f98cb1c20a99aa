"""The track sheet as a page for the screen and for paper."""

from __future__ import annotations

from collections.abc import Sequence

from arsis.deliver.manifest import Manifest
from arsis.plan.model import Release

from .pages import head_of, page
from .track_sheet import FILE_HEADS, HEADS, KEY, file_rows, forms, side_rows, total, version_rows
from .tracks import SideOfTracks

_OF_VERSIONS = (0, 1, 3, 5, 6, 7, 8, 9)  # a version has no start and no gap


def track_sheet_page(manifest: Manifest, release: Release, sides: Sequence[SideOfTracks]) -> str:
    """The page as HTML."""
    return page(
        "track-sheet.html.j2",
        "track sheet",
        head_of(manifest, release),
        heads=HEADS,
        sides=[{"name": one.name, "rows": side_rows(one), "total": total(one)} for one in sides],
        version_heads=[HEADS[i] for i in _OF_VERSIONS],
        versions=[[row[i] for i in _OF_VERSIONS] for row in version_rows(sides)],
        forms=forms(manifest),
        file_heads=FILE_HEADS,
        files=file_rows(manifest),
        key=KEY,
    )
