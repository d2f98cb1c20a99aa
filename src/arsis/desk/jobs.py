"""Long work that goes on whether a page looks on or not: waiting, running, and what came of it."""

from __future__ import annotations

import logging
import secrets
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from queue import SimpleQueue
from threading import Event, Lock, Thread
from time import monotonic
from typing import Any, Literal

from arsis.errors import ArsisError
from arsis.render.progress import Progress

State = Literal["waiting", "running", "done", "failed", "cancelled"]

_AT_ONCE = 2  # a print need not wait for a delivery
_MOST_OPEN, _MOST_ENDED = 16, 32
_TOLD_EVERY_S = 0.2
_CLOSING_S = 10.0
_ENDED = ("done", "failed", "cancelled")


@dataclass(frozen=True, slots=True)
class Made:
    """What came of a job: figures for the page, and the files that it wrote."""

    result: dict[str, Any]
    files: tuple[Path, ...] = ()


Work = Callable[[Progress], Made]


class Stopped(KeyboardInterrupt):
    """Raised inside a job that is to stop: it is put away as a command is by Ctrl-C."""


@dataclass(frozen=True, slots=True)
class MadeFile:
    """A file that a job wrote, as it was then: one written over since is no more what the job tells of."""

    path: Path
    bytes: int
    written_ns: int

    @property
    def is_there(self) -> bool:
        try:
            return _signed(self.path) == self
        except OSError:
            return False


def _signed(path: Path) -> MadeFile:
    found = path.stat()
    return MadeFile(path, found.st_size, found.st_mtime_ns)


@dataclass(slots=True)
class Job:
    """done, total: how far it has come, in the work's own unit. told: why it failed or what a stop left."""

    kind: str
    song: str | None
    work: Work
    id: str = field(default_factory=lambda: secrets.token_hex(8))
    state: State = "waiting"
    done: int = 0
    total: int = 0
    result: dict[str, Any] | None = None
    told: str = ""
    files: tuple[MadeFile, ...] = ()
    stop: Event = field(default_factory=Event)

    @property
    def is_open(self) -> bool:
        return self.state not in _ENDED


class Jobs:
    """The jobs of a desk, the newest last; of those that have ended only the last ones are remembered."""

    def __init__(self, told: Callable[[Job], None]) -> None:
        """told: called from any thread when a job has come further."""
        self._told = told
        self._jobs: dict[str, Job] = {}
        self._lock = Lock()
        self._waiting: SimpleQueue[Job | None] = SimpleQueue()
        self._threads = [Thread(target=self._work_off, name="job", daemon=True) for _ in range(_AT_ONCE)]
        for thread in self._threads:
            thread.start()

    def begin(self, kind: str, song: str | None, work: Work) -> Job:
        """Raises ArsisError where too many wait already."""
        job = Job(kind, song, work)
        with self._lock:
            if sum(one.is_open for one in self._jobs.values()) >= _MOST_OPEN:
                raise ArsisError(
                    f"{_MOST_OPEN} jobs wait or run already; allowed: one more when one has ended"
                )
            self._jobs[job.id] = job
            ended = [one.id for one in self._jobs.values() if not one.is_open]
            for old in ended[: max(0, len(ended) - _MOST_ENDED)]:
                del self._jobs[old]
        self._waiting.put(job)
        self._told(job)
        return job

    def all(self) -> list[Job]:
        with self._lock:
            return list(self._jobs.values())

    def find(self, job_id: str) -> Job | None:
        with self._lock:
            return self._jobs.get(job_id)

    def cancel(self, job: Job) -> None:
        """A job that waits is gone at once, one that runs when it next says how far it has come."""
        job.stop.set()
        with self._lock:
            waits = job.state == "waiting"
            if waits:
                job.state, job.told = "cancelled", "not begun"
        if waits:
            self._told(job)

    def close(self) -> None:
        """Stops all of them, and waits a little for them to put away what they have in hand."""
        for job in self.all():
            self.cancel(job)
        for _ in self._threads:
            self._waiting.put(None)
        end = monotonic() + _CLOSING_S
        for thread in self._threads:
            thread.join(max(0.0, end - monotonic()))

    def _work_off(self) -> None:
        while (job := self._waiting.get()) is not None:
            with self._lock:
                if job.state != "waiting":
                    continue
                job.state = "running"
            self._told(job)
            state, told = self._attempt(job)
            with self._lock:
                job.state, job.told = state, told
            self._told(job)

    def _attempt(self, job: Job) -> tuple[State, str]:
        try:
            made = job.work(self._progress(job))
            job.files = tuple(_signed(path) for path in made.files)
            job.result = made.result
        except KeyboardInterrupt as stop:
            said = getattr(stop, "__notes__", None) or ["nothing half-written is left"]
            return "cancelled", said[0]
        except ArsisError as fault:
            return "failed", str(fault)
        except OSError as fault:
            where = f"{fault.filename}: " if fault.filename else ""
            return "failed", f"{where}{(fault.strerror or str(fault)).lower()}"
        except Exception as fault:
            logging.getLogger("arsis").exception("a job failed")
            return "failed", f"a fault of the program itself, not yours: {type(fault).__name__}: {fault}"
        return "done", ""

    def _progress(self, job: Job) -> Progress:
        told_s = 0.0

        def come(done: int, total: int) -> None:
            nonlocal told_s
            if job.stop.is_set():
                raise Stopped
            job.done, job.total = done, total
            if monotonic() - told_s >= _TOLD_EVERY_S:
                told_s = monotonic()
                self._told(job)

        return come


def shown(job: Job) -> dict[str, Any]:
    """A job as the page knows it."""
    files = [
        {"n": n, "name": one.path.name, "bytes": one.bytes, "there": one.is_there}
        for n, one in enumerate(job.files)
    ]
    names = ("id", "kind", "song", "state", "done", "total", "result", "told")
    return {**{name: getattr(job, name) for name in names}, "files": files}
