"""What a piece of work costs: CPU seconds, wall seconds and, for a process, its peak memory."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

_LAUNCHER = Path(__file__).with_name("launch.py")


@dataclass(frozen=True, slots=True)
class Cost:
    """cpu_s: user and system time of everything started. peak_mb: of a process; None inside this one."""

    cpu_s: float
    wall_s: float
    peak_mb: float | None = None


def of_call(work: Callable[[], object]) -> Cost:
    """The cost of a call in this process, all threads counted."""
    wall, cpu = time.perf_counter(), time.process_time()
    work()
    return Cost(time.process_time() - cpu, time.perf_counter() - wall)


def child_environment() -> dict[str, str]:
    """As a user has it: byte-compiled modules are kept, BLAS runs one thread."""
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return kept | {"OPENBLAS_NUM_THREADS": "1"}


def of_process(
    argv: Sequence[str | Path], allowed: Sequence[int] = (0,), environment: Mapping[str, str] | None = None
) -> Cost:
    """The cost of a program and all it starts; raises RuntimeError for an exit status not in `allowed`.

    A small launcher stands between: the kernel counts the peak memory of whoever forks as the child's.
    """
    command = [sys.executable, "-I", "-S", str(_LAUNCHER), *map(str, argv)]
    done = subprocess.run(
        command,
        env=dict(environment or child_environment()),
        stdin=subprocess.DEVNULL,
        capture_output=True,
    )
    if done.returncode:
        raise RuntimeError(f"{argv[0]} could not be started: {done.stderr.decode(errors='replace')}")
    found = json.loads(done.stdout)
    if found["status"] not in allowed:
        shown = done.stderr.decode(errors="replace")[-2_000:]
        raise RuntimeError(f"{' '.join(map(str, argv))} ended with status {found['status']}: {shown}")
    return Cost(found["cpu_s"], found["wall_s"], found["peak_mb"])
