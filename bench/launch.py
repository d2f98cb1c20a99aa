"""Runs its arguments as a program and prints, as JSON, what that cost. Stays small itself (see timing.py)."""

import json
import os
import sys
import time


def main() -> None:
    nowhere = os.open(os.devnull, os.O_WRONLY)
    started = time.perf_counter()
    child = os.posix_spawnp(
        sys.argv[1], sys.argv[1:], os.environ, file_actions=[(os.POSIX_SPAWN_DUP2, nowhere, 1)]
    )
    _, status, used = os.wait4(child, 0)
    wall_s = time.perf_counter() - started
    unit = 1 << 20 if sys.platform == "darwin" else 1 << 10  # ru_maxrss: bytes there, KiB elsewhere
    found = {
        "status": os.waitstatus_to_exitcode(status),
        "cpu_s": used.ru_utime + used.ru_stime,
        "wall_s": wall_s,
        "peak_mb": used.ru_maxrss / unit,
    }
    print(json.dumps(found))


if __name__ == "__main__":
    main()
