"""`arsis profiles`: what kinds of delivery there are."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from arsis.deliver.known_profiles import known_profile, names
from arsis.errors import ArsisError


@dataclass(frozen=True, slots=True)
class ProfileLine:
    """A profile in a line. own: it is the release's, not the house's. text: its document."""

    name: str
    about: str
    own: bool
    text: str


@dataclass(frozen=True, slots=True)
class Profiles:
    """The house's profiles, then the release's own."""

    profiles: tuple[ProfileLine, ...]


def list_profiles(folder: Path | None, name: str | None = None) -> Profiles:
    """The profiles there are for the release in `folder`, or the one of this name alone.

    Raises ArsisError for a name or a folder that is not there, DocumentError for a profile at fault.
    """
    if folder is not None and not folder.is_dir():
        raise ArsisError(f"{folder}: found no folder; allowed: a release folder")
    wanted = names(folder) if name is None else (name,)
    known = [known_profile(one, folder) for one in wanted]
    return Profiles(
        tuple(ProfileLine(one.profile.name, one.profile.about, not one.is_house, one.text) for one in known)
    )
