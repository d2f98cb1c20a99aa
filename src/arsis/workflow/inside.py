"""Keeps the desk inside its release folder, wherever links lead.

The documents refuse paths that leave the folder; a link in it may still lead out. The command line follows
such links, as the one who gives it made them. The desk does not: it is asked by a browser.
"""

from __future__ import annotations

import os
from pathlib import Path

from arsis.errors import ArsisError
from arsis.plan.codec import read_release, read_song
from arsis.plan.model import Song

from .places import lies_inside

# What the desk reads and writes besides the files that plans name.
FOLDERS = (
    "songs",
    "mixes",
    "prints",
    "reports",
    "references",
    "revisions",
    "profiles",
    "deliveries",
    ".arsis/desk",
)


def check_inside(release: Path, path: Path) -> None:
    """Raises ArsisError where a path of the release really lies outside its folder; it need not be there."""
    if not lies_inside(release, path):
        raise ArsisError(
            f"{path}: leads out of the release folder, and the desk does not follow; "
            "allowed: the file itself, inside the folder"
        )


def check_tree(release: Path, folder: Path) -> None:
    """The folder and every link below it."""
    check_inside(release, folder)
    for home, folders, names in os.walk(folder):
        for name in (*folders, *names):
            path = Path(home, name)
            if path.is_symlink():
                check_inside(release, path)


def check_song(release: Path, song: Song) -> None:
    """Every file that a plan names."""
    for name in _files_of(song):
        check_inside(release, release / name)


def check_plan(release: Path, plan: Path) -> None:
    """Where a plan lies, and what belongs to it by its name."""
    for path in (plan, *(release / name for name in FOLDERS)):
        check_inside(release, path)
    for ending in ("prints/{}.wav", "reports/{}.html"):
        check_inside(release, release / ending.format(plan.stem))
    check_tree(release, release / "revisions" / plan.stem)


def check_release(release: Path) -> None:
    """The release's document, its songs, and what belongs to all of them. Raises DocumentError, too."""
    check_inside(release, release / "release.toml")
    document = read_release(release / "release.toml")
    files = [document.artwork, *(entry.between.file for entry in document.song if entry.between is not None)]
    for name in (*filter(None, files), "reports/record.html"):
        check_inside(release, release / name)
    for entry in document.song:
        check_plan(release, release / entry.plan)
        check_song(release, read_song(release / entry.plan))
    for name in ("profiles", "deliveries"):
        check_tree(release, release / name)


def _files_of(song: Song) -> list[str]:
    passes = [one.print for one in song.pass_.values() if one.print is not None]
    versions = [name for one in song.version for name in (one.mix, *(made.file for made in one.print))]
    return [song.mix, *passes, *versions]
