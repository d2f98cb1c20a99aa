"""A delivery opened for verifying: what its manifest says, what lies on disk, what was heard."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

from arsis.deliver.manifest import MANIFEST, Document, Manifest, SoundFile
from arsis.errors import ArsisError
from arsis.plan.model import Release, Song
from arsis.plan.profile import Profile

from .hear import Heard

# What systems leave in folders that are looked into; nobody delivers it on purpose, and it is no sound.
LEFT_BY_SYSTEMS = (".DS_Store", "Thumbs.db", "desktop.ini")
# macOS puts what other file systems cannot hold of a file into a companion, called so and as the file.
COMPANION = "._"


@dataclass(frozen=True, slots=True)
class OnDisk:
    """A file as it is: its bytes; of a sound file what was heard, or why it cannot be, and its tags.

    sha256: empty where not even its bytes can be read; `fault` says why. unheard: why a sound that may be
    whole was not listened to.
    """

    bytes: int
    sha256: str
    heard: Heard | None = None
    fault: str | None = None
    unheard: str | None = None
    tags: dict[str, str] | None = None
    tags_fault: str | None = None


@dataclass(frozen=True, slots=True)
class Delivery:
    """A delivery as it says it is, and as it is.

    files: what lies in the folder but the manifest, by path. folders: as in `Paths`. profile, release, songs:
    the frozen copies; None where they are not there or do not read, with the reason in `unread` by path.
    """

    folder: Path
    manifest: Manifest
    files: dict[str, OnDisk]
    folders: tuple[str, ...]
    profile: Profile | None
    release: Release | None
    songs: tuple[Song, ...] | None
    unread: dict[str, str]

    def heard(self, sound: SoundFile) -> Heard | None:
        """What was heard of a file; None where it is not there or cannot be read."""
        on_disk = self.files.get(sound.path)
        return None if on_disk is None else on_disk.heard

    def is_as_delivered(self, path: str) -> bool:
        """Whether a file has the bytes that the manifest says."""
        return path in self.files and self.files[path].sha256 == self.digest(path)

    @property
    def listed(self) -> tuple[SoundFile | Document, ...]:
        """Every file that the manifest lists."""
        return (*self.manifest.sounds, *self.manifest.documents)

    def digest(self, path: str) -> str | None:
        """The SHA-256 that the manifest has for a file."""
        for one in self.listed:
            if one.path == path:
                return one.sha256
        return None


@dataclass(frozen=True, slots=True)
class Paths:
    """What lies below a delivery's folder but the manifest, as `plans/01-x.toml`, in order.

    folders: those that hold nothing, and links to others, which are not followed.
    """

    files: tuple[str, ...]
    folders: tuple[str, ...]


def paths_in(folder: Path) -> Paths:
    """All that lies below the folder. Raises ArsisError where a folder cannot be read."""
    files, bare = [], []
    for root, folders, names in os.walk(folder, onerror=_refuse):
        folders.sort()
        own = [name for name in sorted(names) if not _is_left_by_systems(name)]
        files += [Path(root, name) for name in own]
        bare += [Path(root, name) for name in folders if Path(root, name).is_symlink()]
        if not own and not folders:
            bare.append(Path(root))
    inside = [path.relative_to(folder).as_posix() for path in files]
    return Paths(
        files=tuple(path for path in inside if path != MANIFEST),
        folders=tuple(path.relative_to(folder).as_posix() for path in bare),
    )


def _is_left_by_systems(name: str) -> bool:
    return name in LEFT_BY_SYSTEMS or name.startswith(COMPANION)


def _refuse(fault: OSError) -> None:
    raise ArsisError(f"{fault.filename}: cannot be read: {fault.strerror}")


def check_folder(folder: Path) -> None:
    """Raises ArsisError where this is no delivery."""
    if not folder.is_dir():
        what = "is not a folder" if folder.exists() else "there is no such folder"
        raise ArsisError(f"{folder}: {what}; a delivery is a folder that `arsis deliver` made")
    if not (folder / MANIFEST).is_file():
        raise ArsisError(f"{folder}: is no delivery: it holds no {MANIFEST}")
