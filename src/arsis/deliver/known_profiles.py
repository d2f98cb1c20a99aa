"""The profiles there are: the house's own, and those of a release's folder `profiles/`."""

from __future__ import annotations

from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path

from arsis.errors import ArsisError, DocumentError, Fault
from arsis.plan.codec import parse_profile
from arsis.plan.profile import Profile
from arsis.plan.text import read_text

FOLDER = "profiles"  # inside a release
HOUSE = ("hires", "cd", "stream", "vinyl", "preview")  # in the order they are mostly asked for


@dataclass(frozen=True, slots=True)
class KnownProfile:
    """A profile with its own text. where: its file, for messages; the house's lie inside the program."""

    profile: Profile
    text: str
    where: str
    is_house: bool


def find_profile(name: str, release: Path | None) -> Profile:
    """The profile of this name. Raises as `known_profile`."""
    return known_profile(name, release).profile


def known_profile(name: str, release: Path | None) -> KnownProfile:
    """The profile of this name: the house's, or `profiles/NAME.toml` of the release folder.

    Raises ArsisError with the names there are where there is none; DocumentError where its document is at
    fault, is called otherwise than its file, or has the name of one of the house's.
    """
    path = None if release is None else release / FOLDER / f"{name}.toml"
    if name in HOUSE:
        if path is not None and path.is_file():
            allowed = "a name of its own: the house has a profile that is called so"
            raise DocumentError([Fault(str(path), 0, "name", f'"{name}"', allowed)])
        text = (files("arsis.deliver") / FOLDER / f"{name}.toml").read_text(encoding="utf-8")
        return KnownProfile(parse_profile(text, f"profile {name}"), text, f"profile {name}", True)
    if path is None or path not in own_files(release):
        known = ", ".join(names(release))
        raise ArsisError(
            f'profile: found "{name}"; allowed: {known}, or one of your own as {FOLDER}/NAME.toml'
            " in the release folder"
        )
    return _own(path)


def names(release: Path | None) -> tuple[str, ...]:
    """What profiles are called: the house's, then the release's own."""
    return (*HOUSE, *(path.stem for path in own_files(release) if path.stem not in HOUSE))


def own_files(release: Path | None) -> tuple[Path, ...]:
    """The files of a release's own profiles, by name."""
    if release is None:
        return ()
    return tuple(sorted(path for path in (release / FOLDER).glob("*.toml") if path.is_file()))


def _own(path: Path) -> KnownProfile:
    text = read_text(path)
    profile = parse_profile(text, str(path))
    if profile.name != path.stem:
        allowed = f'"{path.stem}", as the file is called'
        raise DocumentError([Fault(str(path), 0, "name", f'"{profile.name}"', allowed)])
    return KnownProfile(profile, text, str(path), False)
