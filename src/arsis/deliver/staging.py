"""Where a delivery grows until it is whole: a folder beside its target, which a stopped command leaves
behind and the same command goes on with.

    deliveries/.cd-begun/begun.json     what it is made from, and its date
    deliveries/.cd-begun/jobs/KEY.json  what a finished job made
    deliveries/.cd-begun/words/         words of songs, without container or tags
    deliveries/.cd-begun/files/         the delivery; takes its name when it is whole
"""

from __future__ import annotations

import hashlib
import json
import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

from arsis.errors import ArsisError
from arsis.io.digest import sha256_of
from arsis.io.whole import refused, write_text_whole

from .jobs import FILES, WORDS, Job, Made
from .manifest import Document
from .manifest_shape import value_of
from .paperwork.extra import KeptAs

BEGUN = "begun.json"
_RECORDS = "jobs"


@dataclass(frozen=True, slots=True)
class Begun:
    """What a delivery was begun with. inputs: digests and versions by name. kept: the states its plans were
    kept in by then, by the place of the song; told on its sheets, and not what it follows from."""

    date: str
    inputs: dict[str, str]
    kept: dict[int, KeptAs] = field(default_factory=dict, compare=False)

    @property
    def digest(self) -> str:
        """Of all of it."""
        text = json.dumps([self.date, sorted(self.inputs.items())], ensure_ascii=False)
        return hashlib.sha256(text.encode()).hexdigest()


@dataclass(frozen=True, slots=True)
class Staging:
    """An open staging folder: nobody else works in it."""

    folder: Path
    target: Path

    @property
    def files(self) -> Path:
        return self.folder / FILES

    def begun(self) -> Begun | None:
        """What was begun here; None where nothing was."""
        return begun_in(self.folder)

    def begin(self, begun: Begun) -> None:
        """Begins anew: what lies here is removed. Raises ArsisError where the disk refuses."""
        try:
            for path in self.folder.iterdir():
                shutil.rmtree(path) if path.is_dir() else path.unlink()
        except OSError as fault:
            raise refused(self.folder, fault, ArsisError) from fault
        write_text_whole(self.folder / BEGUN, _json(asdict(begun)))

    def make_folders(self) -> None:
        try:
            for name in (FILES, WORDS, _RECORDS):
                (self.folder / name).mkdir(exist_ok=True)
        except OSError as fault:
            raise refused(self.folder, fault, ArsisError) from fault

    def clear_parts(self, sounds_and_documents: set[str]) -> None:
        """Removes from the delivery what does not belong to it: what a killed process left behind."""
        for root, _, names in os.walk(self.files):
            for name in names:
                path = Path(root) / name
                if path.relative_to(self.files).as_posix() not in sounds_and_documents:
                    path.unlink()

    def deliver(self) -> None:
        """Gives the delivery its name, in one step, and removes the rest.

        Raises ArsisError where the disk refuses.
        """
        try:
            _sync(self.files)
            os.rename(self.files, self.target)
            _sync(self.target.parent)
        except OSError as fault:
            raise refused(self.target, fault, ArsisError) from fault
        self.clear()

    def clear(self) -> None:
        """Removes the folder, whose delivery is there."""
        shutil.rmtree(self.folder, ignore_errors=True)


def staging_of(target: Path) -> Path:
    """Where a delivery grows: beside its target, so that its name is one step away."""
    return target.with_name(f".{target.name}-begun")


def begun_in(folder: Path) -> Begun | None:
    """What was begun in a staging folder; None where nothing can be gone on with."""
    try:
        table = json.loads((folder / BEGUN).read_text(encoding="utf-8"))
        kept = {int(place): KeptAs(**one) for place, one in table["kept"].items()}
        return Begun(table["date"], dict(table["inputs"]), kept)
    except (OSError, ValueError, KeyError, TypeError):
        return None


@contextmanager
def open_staging(target: Path) -> Iterator[Staging]:
    """The staging folder of a delivery, held for as long as it is open.

    Raises ArsisError where another process works on the same delivery, or the disk refuses.
    """
    folder = staging_of(target)
    handle = None
    try:
        while True:
            folder.mkdir(parents=True, exist_ok=True)
            handle = _held(folder, target)
            if handle is None or _is_same(handle, folder):
                break
            os.close(handle)  # its delivery was finished and the folder removed meanwhile
    except OSError as fault:
        raise refused(folder, fault, ArsisError) from fault
    try:
        yield Staging(folder, target)
    finally:
        with suppress(OSError):
            folder.rmdir()  # where nothing was begun in it
        if handle is not None:
            os.close(handle)


def _held(folder: Path, target: Path) -> int | None:
    """A handle that is a lock until it is closed or its process dies; None where there are no such locks."""
    try:
        import fcntl
    except ImportError:
        return None
    handle = os.open(folder, os.O_RDONLY)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        os.close(handle)
        raise ArsisError(f"{target}: is being made by another command; wait for it, or stop it") from None
    except OSError:  # a file system without locks
        os.close(handle)
        return None
    return handle


def _is_same(handle: int, folder: Path) -> bool:
    with suppress(FileNotFoundError):
        return os.path.samestat(os.fstat(handle), folder.stat())
    return False


def _sync(folder: Path) -> None:
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def keep(job: Job, made: Made) -> None:
    """Writes down that a job is done; its files are on the disk by now."""
    write_text_whole(_record(job), _json({"inputs": job.about.inputs} | asdict(made)))


def kept(job: Job) -> Made | None:
    """What the job made, where it is done and its files are as they were made; else None."""
    try:
        table = json.loads(_record(job).read_text(encoding="utf-8"))
        if table.pop("inputs") != job.about.inputs:
            return None
        made: Made = value_of(Made, table)
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return None
    return made if all(_is_there(job.staging, file) for file in made.files) else None


def _record(job: Job) -> Path:
    return job.staging / _RECORDS / f"{job.key}.json"


def _is_there(folder: Path, file: Document) -> bool:
    path = folder / file.path
    try:
        return path.stat().st_size == file.bytes and sha256_of(path) == file.sha256
    except (OSError, ArsisError):
        return False


def entry_of(folder: Path, path: str, sha256: str | None = None) -> Document:
    """A file as a record has it. path: relative to `folder`; sha256: where it is known already."""
    whole = folder / path
    return Document(path=path, sha256=sha256 or sha256_of(whole), bytes=whole.stat().st_size)


def _json(value: Any) -> str:
    # Between our own processes: the level of silence is minus infinity, which Python reads back.
    return json.dumps(value, ensure_ascii=False, indent=1) + "\n"
