"""Work behind what is heard: one thing at a time, the most wanted first, stopped when nobody wants it."""

from __future__ import annotations

from collections.abc import Callable
from threading import Condition, Thread

from arsis.render.progress import Progress


class StoppedError(Exception):
    """Raised inside work that is no longer wanted."""


# Work that is done in steps, between which it calls what it is given.
Work = Callable[[Progress], None]


class Behind:
    """One thread for long work.

    next_work: what is to be done now and whether it is still wanted; None to wait until `look`. rest: is
    called between steps, and gives way to what is waited for.
    """

    def __init__(
        self,
        next_work: Callable[[], tuple[Work, Callable[[], bool]] | None],
        rest: Callable[[], None],
    ) -> None:
        self._next_work, self._rest = next_work, rest
        self._change = Condition()
        self._looked, self._closed = True, False
        self._thread = Thread(target=self._run, name="behind", daemon=True)
        self._thread.start()

    def look(self) -> None:
        """There may be something else to do."""
        with self._change:
            self._looked = True
            self._change.notify_all()

    def close(self) -> None:
        with self._change:
            self._closed = True
            self._change.notify_all()
        self._thread.join()

    def _run(self) -> None:
        while not self._closed:
            with self._change:
                self._looked = False
            found = self._next_work()
            if found is None:
                with self._change:
                    self._change.wait_for(lambda: self._looked or self._closed)
                continue
            work, wanted = found

            def step(done: int, total: int, wanted: Callable[[], bool] = wanted) -> None:
                if self._closed or not wanted():
                    raise StoppedError
                self._rest()

            try:
                work(step)
            except StoppedError:
                continue
