"""Jobs on a `dask.distributed` cluster. Its workers see the releases under the same paths as this machine."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import Future
from contextlib import contextmanager
from typing import Any

from arsis.errors import ArsisError

from .executors import Executor, Outcome, attempt
from .jobs import Job

# So many seconds for a scheduler to answer, and no longer than that for one that is not there.
_PATIENCE_S = 10.0


class _Cluster:
    def __init__(self, client: Any) -> None:
        threads = sum(client.nthreads().values())
        self.most = max(2, 2 * threads)  # one in hand and one waiting for each
        # Not pure: a job writes files, so one of the same key is not the same as its result in memory.
        self._executor = client.get_executor(pure=False)

    def submit(self, job: Job) -> Future[Outcome]:
        future: Future[Outcome] = self._executor.submit(attempt, job)
        return future


@contextmanager
def cluster(address: str) -> Iterator[Executor]:
    """The workers of a scheduler, such as tcp://10.0.0.5:8786.

    Raises ArsisError where the extra is not installed, nobody answers, or the cluster is lost.
    """
    try:
        from distributed import Client
        from distributed.client import FutureCancelledError
        from distributed.scheduler import KilledWorker
    except ImportError:
        raise ArsisError(
            "--scheduler needs the extra `cluster`, which is not installed: pip install 'arsis[cluster]'"
        ) from None
    try:
        connect: Any = Client
        client = connect(address, timeout=_PATIENCE_S, set_as_default=False)
    except (OSError, ValueError) as fault:
        raise ArsisError(f"--scheduler {address}: does not answer: {fault}") from None
    with client:
        try:
            yield _Cluster(client)
        except ImportError as fault:
            raise ArsisError(
                f"--scheduler {address}: its workers cannot run this: {fault}; install the same arsis there"
            ) from None
        except (KilledWorker, FutureCancelledError) as fault:
            raise ArsisError(
                f"--scheduler {address}: the work was lost there ({fault}); what is finished is kept: give "
                "the command again"
            ) from None
