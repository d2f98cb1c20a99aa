"""What a program and all the processes that it starts cost together, memory included."""

from __future__ import annotations

import os
import resource
import subprocess
import time
from collections.abc import Mapping, Sequence
from pathlib import Path

from .timing import Cost, child_environment

_EVERY_S = 0.05


def of_family(
    argv: Sequence[str | Path], allowed: Sequence[int] = (0,), environment: Mapping[str, str] | None = None
) -> Cost:
    """CPU and wall time of all of them, and the peak of their memory added up, looked at 20 times a second.

    What several share counts once (proportional set size, proc(5)). Linux; elsewhere no memory is told.
    Raises RuntimeError for an exit status not in `allowed`.
    """
    before, started, peak = _cpu_s(), time.perf_counter(), 0.0
    with subprocess.Popen(
        [str(word) for word in argv],
        env=dict(environment or child_environment()),
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
    ) as process:
        while True:
            try:
                _, said = process.communicate(timeout=_EVERY_S)
                break
            except subprocess.TimeoutExpired:
                peak = max(peak, sum(_shared_mb(one) for one in _family(process.pid)))
    if process.returncode not in allowed:
        shown = said.decode(errors="replace")[-2_000:]
        raise RuntimeError(f"{argv[0]} ended with status {process.returncode}: {shown}")
    return Cost(_cpu_s() - before, time.perf_counter() - started, peak or None)


def _cpu_s() -> float:
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def _family(pid: int) -> list[int]:
    found, waiting = [], [pid]
    while waiting:
        found.append(waiting.pop())
        waiting += _children(found[-1])
    return found


def _children(pid: int) -> list[int]:
    """Of every thread of a process; none of one that has ended meanwhile."""
    found = []
    try:
        for task in os.listdir(f"/proc/{pid}/task"):
            found += Path(f"/proc/{pid}/task/{task}/children").read_text(encoding="ascii").split()
    except OSError:
        return []
    return [int(child) for child in found]


def _shared_mb(pid: int) -> float:
    try:
        lines = Path(f"/proc/{pid}/smaps_rollup").read_text(encoding="ascii").splitlines()
    except OSError:
        return 0.0
    return sum(int(line.split()[1]) for line in lines if line.startswith("Pss:")) / 1024.0
