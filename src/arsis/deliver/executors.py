"""Where jobs are done: in this process, in others of this machine, or on a cluster. The files are the same.

A job is done once: one that is written down as done, with its files as they were, is not done again.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
from collections.abc import Iterator
from concurrent.futures import BrokenExecutor, Future, ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from multiprocessing.connection import wait
from typing import Protocol

from arsis.errors import ArsisError

from .inputs import changed, tools
from .jobs import Job, Made
from .make import make
from .staging import keep, kept


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of a job. fault: why it could not be done, as the user will read it. was_kept: it had been
    done before."""

    made: Made | None
    fault: str = ""
    was_kept: bool = False


class Executor(Protocol):
    """most: so many jobs are worth having in hand at once."""

    most: int

    def submit(self, job: Job) -> Future[Outcome]: ...


def attempt(job: Job) -> Outcome:
    """Does a job and writes that down, or finds it done. A fault comes back as data, fit for any wire."""
    wanted = job.about.tools
    other = () if wanted is None else changed(wanted, tools())
    if other:
        return Outcome(None, f"a worker would not make the same files: {'; '.join(other)} there")
    made = kept(job)
    if made is not None:
        return Outcome(made, was_kept=True)
    try:
        made = make(job)
        keep(job, made)
    except (ArsisError, OSError) as fault:
        return Outcome(None, told(fault))
    return Outcome(made)


def told(fault: ArsisError | OSError) -> str:
    """A fault as the user will read it."""
    if isinstance(fault, ArsisError):
        return str(fault)
    where = f"{fault.filename}: " if fault.filename else ""
    return f"{where}{(fault.strerror or str(fault)).lower()}"


class _InLine:
    most = 1

    def submit(self, job: Job) -> Future[Outcome]:
        future: Future[Outcome] = Future()
        future.set_result(attempt(job))
        return future


@contextmanager
def in_line() -> Iterator[Executor]:
    """One job after another, in this process."""
    yield _InLine()


class _Processes:
    def __init__(self, pool: ProcessPoolExecutor, number: int) -> None:
        self._pool, self.most = pool, 2 * number  # one in hand and one waiting for each

    def submit(self, job: Job) -> Future[Outcome]:
        with _unstoppable_children():
            return self._pool.submit(attempt, job)


@contextmanager
def processes(number: int) -> Iterator[Executor]:
    """So many processes of this machine, started anew: nothing of this one's threads or locks is in them.

    They end with this one, however it ends. Raises ArsisError where one of them is ended from outside.
    """
    strangers = set(multiprocessing.active_children())
    context = multiprocessing.get_context("spawn")
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # the processes are what fills the cores
    pool = ProcessPoolExecutor(number, context, initializer=_begin_worker)
    try:
        yield _Processes(pool, number)
    except BrokenExecutor:
        raise ArsisError(
            "a process that was at work was ended by the system, perhaps for want of memory; what is "
            "finished is kept: give the command again, with fewer --jobs"
        ) from None
    except BaseException:
        for child in set(multiprocessing.active_children()) - strangers:
            child.terminate()
        raise
    finally:
        pool.shutdown(cancel_futures=True)


@contextmanager
def _unstoppable_children() -> Iterator[None]:
    """Ctrl-C goes to every process of a terminal: those started here leave it to who started them."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _begin_worker() -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parent = multiprocessing.parent_process()
    if parent is not None:
        threading.Thread(target=_end_with, args=(parent.sentinel,), daemon=True).start()


def _end_with(sentinel: int) -> None:
    """A killed command leaves no process behind that goes on writing."""
    wait([sentinel])
    os._exit(1)
