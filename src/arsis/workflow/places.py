"""Where things lie in a release folder, and how a plan on disk is opened with its mix."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from arsis.errors import ArsisError
from arsis.plan.codec import read_song
from arsis.plan.model import Song


@dataclass(frozen=True, slots=True)
class OpenPlan:
    """A plan as read from disk. release: the folder its paths are relative to."""

    path: Path
    release: Path
    song: Song

    @property
    def stem(self) -> str:
        return self.path.stem

    @property
    def mix(self) -> Path:
        return self.release / self.song.mix

    def default_print(self, pass_name: str | None) -> Path:
        name = self.stem if pass_name is None else f"{self.stem}-pass-{pass_name}"
        return self.release / "prints" / f"{name}.wav"

    @property
    def default_report(self) -> Path:
        return self.release / "reports" / f"{self.stem}.html"


def open_plan(path: Path) -> OpenPlan:
    """Reads and checks a song's plan.

    Raises ArsisError where there is no such plan, DocumentError where it is at fault.
    """
    if path.suffix != ".toml":
        raise ArsisError(f"{path}: not a plan; a plan is a .toml file, made with `arsis start`")
    song = read_song(path)
    return OpenPlan(path, release_of(path), song)


def release_of(plan: Path) -> Path:
    """The release folder of a plan: the nearest folder above it that holds a release.toml, or the one
    above the plan's own folder where there is none yet."""
    home = plan.resolve().parent
    for folder in (home, *home.parents):
        if (folder / "release.toml").exists():
            return folder
    return home.parent if home.name == "songs" else home
