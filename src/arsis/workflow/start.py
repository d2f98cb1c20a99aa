"""`arsis start`: a release folder from mixes, with a plan a song that changes nothing yet."""

from __future__ import annotations

import re
import shutil
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from arsis.errors import ArsisError
from arsis.io.digest import sha256_of
from arsis.io.whole import replace_whole, write_text_whole
from arsis.plan.codec import release_to_toml, song_to_toml
from arsis.plan.model import Finish, Join, Pass, Release, ReleaseSong, Section, Song, Version
from arsis.render.progress import Progress, unseen
from arsis.settings import Limiter

from .examine import Listened, listen
from .measure import measure_file
from .places import make_folder, titled
from .sections import SectionAt, find_sections

# How mixers call the other mixes of a song, by the end of the file's name (common practice, no source):
# song-instrumental, Song_Instrumental, Song (Instrumental), Song - TV.
_VERSION = re.compile(r"(.+?)[-_ ]+\(?(instrumental|a[-_ ]?cappella|clean|tv)\)?", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class StartedSong:
    """A song as it came in."""

    plan: Path
    title: str
    mix: Path
    versions: tuple[str, ...]
    sections: int
    integrated_lufs: float
    true_peak_dbtp: float


@dataclass(frozen=True, slots=True)
class Started:
    """A new release. warnings: mixes that are not fit to master."""

    folder: Path
    title: str
    songs: tuple[StartedSong, ...]
    warnings: tuple[str, ...] = ()


def start_release(
    folder: Path,
    mixes: Sequence[Path],
    title: str | None = None,
    progress: Progress = unseen,
    artist: str = "",
) -> Started:
    """Makes `folder` a release of `mixes`, in their order.

    Mixes outside the folder are copied into it; nothing is ever written to a mix. A plan that is there
    already stays as it is. Raises ArsisError where the folder holds a release already.
    """
    if (folder / "release.toml").exists():
        raise ArsisError(f"{folder}: holds a release already; a new one needs a folder of its own")
    mains, versions = _sorted_out(mixes)
    # Everything is heard before anything is written, so that a fault in the last mix leaves no trace.
    heard = [_listen(mix, progress) for mix in mains]
    for other in (other for others in versions.values() for other in others):
        measure_file(other, progress)
    _check_places(folder, mixes)
    for name in ("mixes", "songs"):
        make_folder(folder / name)
    songs = tuple(_start_song(folder, one, versions.get(one.mix.stem, ())) for one in heard)
    name = title or titled(folder.resolve().name)
    entries = tuple(ReleaseSong(plan=str(song.plan.relative_to(folder))) for song in songs)
    write_text_whole(
        folder / "release.toml", release_to_toml(Release(title=name, artist=artist, song=entries))
    )
    return Started(folder, name, songs, tuple(said for one in heard for said in one.warnings))


def _sorted_out(mixes: Sequence[Path]) -> tuple[list[Path], dict[str, tuple[Path, ...]]]:
    """Main mixes in order, and the other versions of each by its stem."""
    stems = [mix.stem for mix in mixes]
    doubled = sorted({stem for stem in stems if stems.count(stem) > 1})
    if doubled:
        raise ArsisError(
            f"two mixes are called {doubled[0]}: plans are named after mixes, so each needs its own name"
        )
    mains: list[Path] = []
    versions: dict[str, tuple[Path, ...]] = {}
    for mix in mixes:
        found = _VERSION.fullmatch(mix.stem)
        if found and found[1] in stems:
            versions[found[1]] = (*versions.get(found[1], ()), mix)
        else:
            mains.append(mix)
    for main, others in versions.items():
        names = [_version_name(other) for other in others]
        if twice := [name for name in names if names.count(name) > 1]:
            raise ArsisError(f"two versions of {main} are called {twice[0]}: each needs its own name")
    return mains, versions


def _version_name(mix: Path) -> str:
    found = _VERSION.fullmatch(mix.stem)
    return found[2].lower() if found else mix.stem


def _check_places(folder: Path, mixes: Sequence[Path]) -> None:
    """Raises ArsisError where a mix would have to be written over another file."""
    for mix in mixes:
        place = folder / "mixes" / mix.name
        if place.exists() and not _is_inside(folder, mix) and sha256_of(place) != sha256_of(mix):
            raise ArsisError(f"{place}: is there already and is not {mix}; a mix is never written over")


@dataclass(frozen=True, slots=True)
class _Heard:
    mix: Path
    listened: Listened
    sections: tuple[SectionAt, ...]

    @property
    def warnings(self) -> tuple[str, ...]:
        """What makes another file wanted before work begins."""
        stops = (one.says for one in self.listened.intake.findings if one.stops)
        return tuple(f"{self.mix}: {said}; `arsis examine` says more" for said in stops)


def _listen(mix: Path, progress: Progress) -> _Heard:
    return _Heard(mix, listen(mix, progress), find_sections(mix, progress).sections)


def _start_song(folder: Path, heard: _Heard, others: Sequence[Path]) -> StartedSong:
    mix, meters = heard.mix, heard.listened.defects.meters
    inside = _brought_in(folder, mix)
    song = Song(
        title=titled(mix.stem),
        mix=inside,
        mix_sha256=sha256_of(folder / inside),
        version=tuple(Version(name=_version_name(other), mix=_brought_in(folder, other)) for other in others),
        section=tuple(_section(section) for section in heard.sections),
        pass_={"A": Pass(note="left alone")},
        finish=Finish(limiter=Limiter()),
    )
    plan = folder / "songs" / f"{mix.stem}.toml"
    if not plan.exists():
        write_text_whole(plan, song_to_toml(song))
    return StartedSong(
        plan,
        song.title,
        folder / inside,
        tuple(version.name for version in song.version),
        len(song.section),
        meters.integrated_lufs,
        meters.true_peak_dbtp,
    )


def _section(found: SectionAt) -> Section:
    join = None if found.join is None else Join(fade_ms=found.join.fade_ms, lead_ms=found.join.lead_ms)
    return Section(
        name=found.name,
        kind=found.kind,
        start_s=round(found.start_s, 6),
        pass_="A",
        join=None if join == Join() else join,
    )


def _brought_in(folder: Path, mix: Path) -> str:
    """The mix's path inside the release, after copying it there where it lies elsewhere."""
    if _is_inside(folder, mix):
        return mix.resolve().relative_to(folder.resolve()).as_posix()
    inside = Path("mixes") / mix.name
    if (folder / inside).exists():  # the very same sound: `_check_places`
        return inside.as_posix()
    with mix.open("rb") as source, replace_whole(folder / inside) as target:
        shutil.copyfileobj(source, target, 1 << 20)
    return inside.as_posix()


def _is_inside(folder: Path, mix: Path) -> bool:
    return mix.resolve().is_relative_to(folder.resolve())
