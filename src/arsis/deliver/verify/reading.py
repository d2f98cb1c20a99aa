"""Opens a delivery and hears every file of it, on all cores."""

from __future__ import annotations

import signal
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor, wait
from multiprocessing import get_context
from pathlib import Path
from typing import TypeVar

from arsis.deliver.coding import unavailable
from arsis.deliver.manifest_file import read_manifest
from arsis.deliver.tagging import read_tags
from arsis.errors import ArsisError
from arsis.io.digest import sha256_of
from arsis.plan.codec import read_profile, read_release, read_song
from arsis.plan.profile import Profile
from arsis.render.progress import LOOKED_EVERY_S, Progress, unseen

from .delivery import Delivery, OnDisk, check_folder, paths_in
from .hear import hear
from .rules import PROFILE_COPY, RELEASE_COPY

Document = TypeVar("Document")
Found = TypeVar("Found")


def open_delivery(folder: Path, jobs: int = 1, progress: Progress = unseen) -> Delivery:
    """The delivery with all its files heard. Raises ArsisError where this is no delivery."""
    check_folder(folder)
    manifest = read_manifest(folder)
    paths = paths_in(folder)
    containers = {sound.path: sound.facts.container for sound in manifest.sounds}
    tasks = [(folder / path, containers.get(path)) for path in paths.files]
    files = dict(zip(paths.files, in_order(_on_disk, tasks, jobs, progress), strict=True))
    unread: dict[str, str] = {}
    profile: Profile | None = _read(read_profile, folder, PROFILE_COPY, unread)
    release = _read(read_release, folder, RELEASE_COPY, unread)
    plans = [_read(read_song, folder, path, unread) for path in manifest.plans]
    songs = tuple(plan for plan in plans if plan is not None)
    whole = songs if len(songs) == len(plans) else None
    return Delivery(folder, manifest, files, paths.folders, profile, release, whole, unread)


def _on_disk(task: tuple[Path, str | None]) -> OnDisk:
    """A file as it is. The task: its path, and its container where it is one with sound."""
    path, container = task
    digest, fault = _tried(lambda: _digest(path), path)
    if digest is None:
        return OnDisk(0, "", fault=fault)
    size = path.stat().st_size
    if container is None:
        return OnDisk(size, digest)
    tags, tags_fault = _tried(lambda: read_tags(path, container), path)
    unheard = unavailable("aac") if container == "aac" else None
    if unheard is not None:
        return OnDisk(size, digest, unheard=unheard, tags=tags, tags_fault=tags_fault)
    heard, fault = _tried(lambda: hear(path), path)
    return OnDisk(size, digest, heard, fault, None, tags, tags_fault)


def _digest(path: Path) -> str:
    """Of a plain file, or of what a link leads to. Raises ArsisError for anything else: a pipe never ends."""
    if not path.is_file():
        raise ArsisError(f"{path}: {'is no plain file' if path.exists() else 'is a link that leads nowhere'}")
    return sha256_of(path)


def _tried(read: Callable[[], Found], path: Path) -> tuple[Found | None, str | None]:
    """What is read, or why it cannot be."""
    try:
        return read(), None
    except ArsisError as fault:
        return None, str(fault).removeprefix(f"{path}: ")


def _read(
    read: Callable[[Path], Document], folder: Path, name: str, unread: dict[str, str]
) -> Document | None:
    if not (folder / name).is_file():
        return None  # told as a missing file
    try:
        return read(folder / name)
    except ArsisError as fault:
        unread[name] = f"does not read: {str(fault).splitlines()[0]}"
        return None


Task = TypeVar("Task")
Done = TypeVar("Done")


def in_order(work: Callable[[Task], Done], tasks: list[Task], jobs: int, progress: Progress) -> list[Done]:
    """The tasks' results in the tasks' own order, whoever is done first; in this process for one job."""
    if jobs <= 1 or len(tasks) <= 1:
        done = []
        for task in tasks:
            done.append(work(task))
            progress(len(done), len(tasks))
        return done
    # A fresh process each: what was started by threads of this one cannot be carried over by a fork.
    pool = ProcessPoolExecutor(min(jobs, len(tasks)), get_context("spawn"), initializer=_leave_interrupts)
    try:
        results: list[Done] = []
        for future in [pool.submit(work, task) for task in tasks]:
            while not wait([future], LOOKED_EVERY_S).done:
                progress(len(results), len(tasks))
            results.append(future.result())
            progress(len(results), len(tasks))
        return results
    finally:
        pool.shutdown(cancel_futures=True)


def _leave_interrupts() -> None:
    """Ctrl-C goes to every process of a terminal; the one that was started by hand answers it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
