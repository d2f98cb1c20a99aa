"""Works off many deliveries at once: their jobs share one executor, and none waits for another's."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, wait
from dataclasses import dataclass, field
from typing import Generic, TypeVar

from arsis.errors import ArsisError
from arsis.render.progress import LOOKED_EVERY_S, Progress

from .executors import Executor, Outcome, told
from .jobs import Job, Made
from .manifest import Manifest
from .steps import Steps

About = TypeVar("About")


@dataclass(slots=True)
class Delivering(Generic[About]):
    """A delivery on its way. about: whatever the caller knows it by. close: called once, when it has ended.

    done, kept: jobs finished, and how many of them had been done before.
    """

    about: About
    steps: Steps
    close: Callable[[], None]
    manifest: Manifest | None = None
    fault: str = ""
    done: int = 0
    kept: int = 0
    _made: dict[int, Made] = field(default_factory=dict)
    _round: int = 0


def work_off(
    deliveries: Iterable[Delivering[About]], executor: Executor, progress: Progress
) -> Iterator[Delivering[About]]:
    """Gives each delivery when it has ended, well or not; a failing one stops no other.

    Deliveries are begun only when there is nothing else to do, so that thousands cost no more than a few.
    """
    desk = _Desk(iter(deliveries), executor, progress)
    try:
        yield from desk.run()
    finally:
        desk.close()


class _Desk(Generic[About]):
    def __init__(self, waiting: Iterator[Delivering[About]], executor: Executor, progress: Progress) -> None:
        self._waiting, self._executor, self._progress = waiting, executor, progress
        self._jobs: deque[tuple[Delivering[About], int, Job]] = deque()
        self._running: dict[Future[Outcome], tuple[Delivering[About], int, Job]] = {}
        self._open: list[Delivering[About]] = []
        self._ended: deque[Delivering[About]] = deque()
        self._frames_done = self._frames_all = 0

    def run(self) -> Iterator[Delivering[About]]:
        while self._fill() or self._ended:
            while self._ended:
                yield self._ended.popleft()
            if self._running:
                ended = wait(self._running, LOOKED_EVERY_S, FIRST_COMPLETED).done
                if not ended:
                    self._progress(self._frames_done, self._frames_all)
                for future in ended:
                    self._settle(future)

    def close(self) -> None:
        """Ends what is not ended: after a fault of the program, or when it is stopped."""
        for delivering in list(self._open):
            self._end(delivering)

    def _fill(self) -> bool:
        """Puts work in hand; False when there is none left anywhere."""
        while len(self._running) < self._executor.most:
            if self._jobs:
                delivering, place, job = self._jobs.popleft()
                if not delivering.fault:
                    self._running[self._executor.submit(job)] = (delivering, place, job)
                continue
            begun = next(self._waiting, None)
            if begun is None:
                break
            self._open.append(begun)
            self._advance(begun, None)
        return bool(self._running)

    def _settle(self, future: Future[Outcome]) -> None:
        delivering, place, job = self._running.pop(future)
        outcome = future.result()
        self._frames_done += job.frames
        self._progress(self._frames_done, self._frames_all)
        if outcome.made is None:
            delivering.fault = delivering.fault or outcome.fault
        else:
            delivering._made[place] = outcome.made
            delivering.done += 1
            delivering.kept += outcome.was_kept
        if delivering.fault:
            if not any(one is delivering for one, _, _ in self._running.values()):
                self._end(delivering)
        elif len(delivering._made) == delivering._round:
            self._advance(delivering, tuple(delivering._made[i] for i in range(delivering._round)))

    def _advance(self, delivering: Delivering[About], made: tuple[Made, ...] | None) -> None:
        """Asks for the next round, until there is one with jobs in it or the delivery has ended."""
        try:
            jobs = next(delivering.steps) if made is None else delivering.steps.send(made)
            while not jobs:
                jobs = delivering.steps.send(())
        except StopIteration as end:
            delivering.manifest = end.value
            self._end(delivering)
            return
        except (ArsisError, OSError) as fault:
            delivering.fault = told(fault)
            self._end(delivering)
            return
        delivering._made, delivering._round = {}, len(jobs)
        self._frames_all += sum(job.frames for job in jobs)
        # The longest first: then the last ones to end, end together.
        order = sorted(range(len(jobs)), key=lambda place: -jobs[place].frames)
        self._jobs.extend((delivering, place, jobs[place]) for place in order)

    def _end(self, delivering: Delivering[About]) -> None:
        self._open.remove(delivering)
        delivering.steps.close()
        delivering.close()
        self._ended.append(delivering)
