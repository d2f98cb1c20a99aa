"""Recall: numbered states of a plan, kept beside the release with a note.

`revisions/SONG/0001.toml` is the plan's text to the byte; `revisions/SONG/notes.toml` says when and why
it was kept, of which mix, by which arsis. A copy is written before its note, so that a command that was
stopped leaves at most a copy without a note, whose number is not used again.
"""

from __future__ import annotations

import hashlib
from codecs import BOM_UTF8
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from functools import lru_cache
from pathlib import Path
from typing import Any

from arsis.errors import ArsisError
from arsis.io.alone import alone_in
from arsis.io.digest import sha256_of
from arsis.io.whole import write_bytes_whole, write_text_whole
from arsis.plan.codec import read_song
from arsis.plan.compare import compare
from arsis.plan.layout import entry_block
from arsis.plan.model import Song
from arsis.plan.text import toml_table
from arsis.version import VERSION

from .places import make_folder, release_of


@dataclass(frozen=True, slots=True)
class Revision:
    """A kept state of a plan.

    date: when it was kept, ISO 8601 in UTC. mix_sha256: of the mix as it was then, empty where there was
    none. arsis: the version that kept it. is_new: whether the call that gave this back made it.
    """

    number: int
    date: str
    note: str
    plan_sha256: str
    mix_sha256: str
    arsis: str
    path: Path
    is_new: bool = False


def keep(plan_path: Path, note: str) -> Revision:
    """Keeps the plan as it stands; gives back the last revision where nothing has changed since.

    Raises DocumentError where the plan is at fault, ArsisError for an empty note.
    """
    if not note.strip():
        raise ArsisError("the note is empty; say what this state is")
    return _keep(plan_path, note, _mix_sha256(plan_path, read_song(plan_path)))


def revisions(plan_path: Path) -> tuple[Revision, ...]:
    """Every kept state, the oldest first. Raises ArsisError where the notes are damaged, or plan
    and notes are both not there."""
    notes = _folder(plan_path) / "notes.toml"
    if not notes.exists():
        if not plan_path.exists():
            raise ArsisError(f"{plan_path}: there is no such plan, and no revision of it")
        return ()
    is_now = notes.stat()
    return _noted(notes, is_now.st_mtime_ns, is_now.st_size, is_now.st_ino)


@lru_cache(maxsize=64)
def _noted(notes: Path, mtime_ns: int, size: int, inode: int) -> tuple[Revision, ...]:
    table = toml_table(notes.read_text(encoding="utf-8"), str(notes)).table
    try:
        kept = [_revision(notes.parent, entry) for entry in table.get("revision", [])]
    except (KeyError, TypeError, ValueError, AttributeError):
        raise ArsisError(f"{notes}: an entry is damaged; each has {', '.join(_NOTED)}") from None
    return tuple(sorted(kept, key=lambda one: one.number))


def kept_as(plan_path: Path, mix_sha256: str, text: str | None = None) -> Revision | None:
    """The latest revision that is the plan, over the same mix. text: the plan's; as it stands when None."""
    data = plan_path.read_bytes() if text is None else text.encode()
    stands = (_sha256(data), _sha256(BOM_UTF8 + data))  # a text does not say whether its file had a mark
    same = [one for one in revisions(plan_path) if one.plan_sha256 in stands and one.mix_sha256 == mix_sha256]
    return same[-1] if same else None


def found(plan_path: Path, number: int) -> Revision:
    """A revision whose copy is there and as it was kept. Raises ArsisError where there is none such."""
    kept = {one.number: one for one in revisions(plan_path)}
    if number not in kept:
        there = ", ".join(map(str, kept)) or "none yet"
        raise ArsisError(f"{plan_path}: no revision {number}; there are: {there}")
    revision = kept[number]
    if not revision.path.exists():
        raise ArsisError(f"{revision.path}: this revision's copy is gone")
    if _sha256(revision.path.read_bytes()) != revision.plan_sha256:
        raise ArsisError(f"{revision.path}: changed since it was kept; its checksum does not fit the notes")
    return revision


def diff(plan_path: Path, a: int, b: int | None = None) -> list[str]:
    """What differs between revision `a` and revision `b`, or the plan as it stands now."""
    before = found(plan_path, a)
    if b is None:
        song = read_song(plan_path)
        mix_sha256 = _mix_sha256(plan_path, song)
    else:
        after = found(plan_path, b)
        song, mix_sha256 = read_song(after.path), after.mix_sha256
    told = compare(read_song(before.path), song)
    return [*told, "the mix file itself has changed"] if before.mix_sha256 != mix_sha256 else told


def restore(plan_path: Path, number: int) -> Revision:
    """Makes the plan what it was in a revision, to the byte; what stands there now is kept first."""
    revision = found(plan_path, number)
    data = revision.path.read_bytes()
    if plan_path.exists() and _sha256(plan_path.read_bytes()) not in _known(plan_path):
        _keep(plan_path, f"as it stood before going back to revision {number}", revision.mix_sha256)
    write_bytes_whole(plan_path, data)
    return revision


# The keys of an entry of the notes.
_NOTED = ("number", "date", "note", "plan_sha256", "mix_sha256", "arsis")


def _keep(plan_path: Path, note: str, mix_sha256: str) -> Revision:
    folder = _folder(plan_path)
    make_folder(folder)
    with alone_in(folder):
        return _kept(plan_path, folder, note, mix_sha256)


def _kept(plan_path: Path, folder: Path, note: str, mix_sha256: str) -> Revision:
    data, kept = plan_path.read_bytes(), revisions(plan_path)
    digest = _sha256(data)
    if kept and (kept[-1].plan_sha256, kept[-1].mix_sha256) == (digest, mix_sha256):
        return kept[-1]
    number = _next_number(folder, kept)
    date = datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
    made = Revision(number, date, note, digest, mix_sha256, VERSION, _copy(folder, number))
    write_bytes_whole(made.path, data)
    write_text_whole(folder / "notes.toml", _notes((*kept, made)))
    return replace(made, is_new=True)


def _next_number(folder: Path, kept: tuple[Revision, ...]) -> int:
    copies = [int(file.stem) for file in folder.glob("*.toml") if file.stem.isdecimal()]
    return max([*copies, *(one.number for one in kept)], default=0) + 1


def _notes(kept: tuple[Revision, ...]) -> str:
    entries = [{key: getattr(one, key) for key in _NOTED} for one in kept]
    return "\n".join(["schema = 1\n", *(entry_block("revision", entry) for entry in entries)])


def _revision(folder: Path, entry: dict[str, Any]) -> Revision:
    number = int(entry["number"])
    date, note, plan_sha256, mix_sha256, arsis = (str(entry[key]) for key in _NOTED[1:])
    return Revision(number, date, note, plan_sha256, mix_sha256, arsis, _copy(folder, number))


def _known(plan_path: Path) -> set[str]:
    return {one.plan_sha256 for one in revisions(plan_path)}


def _folder(plan_path: Path) -> Path:
    return release_of(plan_path) / "revisions" / plan_path.stem


def _copy(folder: Path, number: int) -> Path:
    return folder / f"{number:04d}.toml"


def _mix_sha256(plan_path: Path, song: Song) -> str:
    mix = release_of(plan_path) / song.mix
    return sha256_of(mix) if mix.is_file() else song.mix_sha256 or ""


def _sha256(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()
