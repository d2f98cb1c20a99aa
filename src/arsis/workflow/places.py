"""Where things lie in a release folder, and how a plan on disk is opened with its mix."""

from __future__ import annotations

import os
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path

from arsis.errors import ArsisError
from arsis.io.names import fit
from arsis.io.probe import probe
from arsis.io.whole import refused
from arsis.plan.codec import check_against, parse_song
from arsis.plan.model import Song
from arsis.plan.text import read_text
from arsis.render.opening import open_source
from arsis.render.source import Source


@dataclass(frozen=True, slots=True)
class OpenPlan:
    """A plan as read from disk. release: the folder its paths are relative to. text: as it was read."""

    path: Path
    release: Path
    song: Song
    text: str

    @property
    def stem(self) -> str:
        return self.path.stem

    @property
    def mix(self) -> Path:
        return self.release / self.song.mix

    def default_print(self, pass_name: str | None = None, version: str | None = None) -> Path:
        # A pass or a version may be called anything; its print stays in the folder for prints.
        parts = [f"pass-{fit(pass_name)}" if pass_name is not None else "", fit(version or "")]
        return self.release / "prints" / f"{'-'.join(filter(None, [self.stem, *parts]))}.wav"

    @property
    def default_report(self) -> Path:
        return self.release / "reports" / f"{self.stem}.html"


def open_plan(path: Path) -> OpenPlan:
    """Reads and checks a song's plan.

    Raises ArsisError where there is no such plan, DocumentError where it is at fault.
    """
    if path.suffix != ".toml":
        raise ArsisError(f"{path}: not a plan; a plan is a .toml file, made with `arsis start`")
    if not path.exists():
        raise ArsisError(f"{path}: there is no such plan; `arsis start` makes one for each mix")
    if path.name == "release.toml":
        raise ArsisError(f"{path}: is the release, not a song's plan; it names its songs' plans")
    text = read_text(path)
    return OpenPlan(path, release_of(path), parse_song(text, str(path)), text)


def open_for_render(plan: OpenPlan, song: Song, stack: ExitStack) -> Source:
    """The mix and the printed passes that `song` uses: the plan's own song, or one of its passes alone.

    Raises DocumentError for sections past the end of the mix, PlanError where files do not fit the plan.
    """
    check_against(plan.song, probe(plan.mix).duration_s, str(plan.path), plan.text)
    return open_source(song, plan.release, stack)


def check_target(plan: OpenPlan, target: Path) -> None:
    """Raises ArsisError where writing to `target` would cost something that cannot be made again, or where
    its folder is not there."""
    kept = {
        plan.path: "the plan itself",
        plan.mix: "the mix itself, which is never written to",
        **{
            plan.release / v.mix: f"the mix of the {v.name}, which is never written to"
            for v in plan.song.version
        },
        **{
            plan.release / p.print: f"what pass {name} was printed to elsewhere, which is never written to"
            for name, p in plan.song.pass_.items()
            if p.print is not None
        },
    }
    for path, what in kept.items():
        if target.resolve() == path.resolve():
            raise ArsisError(f"{target}: is {what}")
    if target.resolve().parent == (plan.release / "mixes").resolve():
        raise ArsisError(f"{target}: lies among the mixes, which are never written to")
    if not target.parent.is_dir():
        what = "is not a folder" if target.parent.exists() else "is not there"
        raise ArsisError(f"{target}: cannot be written: the folder {target.parent} {what}")


def lies_inside(release: Path, path: Path) -> bool:
    """Whether a path, links followed, leads to somewhere in the release folder."""
    return Path(os.path.realpath(path)).is_relative_to(os.path.realpath(release))


def make_folder(path: Path) -> None:
    """A folder and those above it. Raises ArsisError where the disk refuses."""
    try:
        path.mkdir(parents=True, exist_ok=True)
    except OSError as fault:
        raise refused(path, fault, ArsisError) from fault


def release_of(plan: Path) -> Path:
    """The release folder of a plan: the nearest folder above it that holds a release.toml, or the one
    above the plan's own folder where there is none yet. It is called as the plan is: by its whole path, or as
    one who stands in the present folder calls it."""
    home = plan.absolute().parent
    for folder in (home, *home.parents):
        if (folder / "release.toml").exists():
            return _as_seen(folder, plan)
    return _as_seen(home.parent if home.name == "songs" else home, plan)


def _as_seen(folder: Path, plan: Path) -> Path:
    if plan.is_absolute():
        return folder
    here = Path.cwd()
    return folder.relative_to(here) if folder.is_relative_to(here) else folder


def titled(stem: str) -> str:
    """A title from a file's name: low-water is Low Water."""
    words = stem.replace("_", " ").replace("-", " ").split()
    return " ".join(word[0].upper() + word[1:] for word in words) or stem
