"""Work behind what is heard: one thing at a time, the most wanted first, stopped when nobody wants it."""

from __future__ import annotations

import time
from collections.abc import Callable
from contextlib import suppress
from threading import Condition, Thread

from arsis.render.progress import Progress

# Nothing is begun so soon after a change: what is heard of it comes first, and the next change may follow.
_QUIET_S = 0.12


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
        self._looked, self._closed, self._looked_at = True, False, 0.0
        self._thread = Thread(target=self._run, name="behind", daemon=True)
        self._thread.start()

    def look(self) -> None:
        """There may be something else to do."""
        with self._change:
            self._looked, self._looked_at = True, time.monotonic()
            self._change.notify_all()

    def close(self) -> None:
        with self._change:
            self._closed = True
            self._change.notify_all()
        self._thread.join()

    def _run(self) -> None:
        while self._quiet():
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

            with suppress(StoppedError):
                work(step)

    def _quiet(self) -> bool:
        """Waits until the last change is some time ago; whether there is anything more to do."""
        with self._change:
            while not self._closed and (left_s := self._looked_at + _QUIET_S - time.monotonic()) > 0.0:
                self._change.wait(left_s)
            self._looked = False
            return not self._closed
