"""`make bench`: arsis beside general-purpose peers, in one run, in turn.

REPS: how many times everyone runs (5). ONLY: the rows with this in their title, and no others. LONG=1: an
hour at 96 kHz as well, which takes minutes and gigabytes. Results go to .cache/bench as JSON and Markdown.
"""

from __future__ import annotations

import json
import os
import tempfile
import time
from collections.abc import Iterator
from dataclasses import asdict
from pathlib import Path

from .conditions import conditions
from .rows import Row, RowResult, measured
from .rows_process import process_rows
from .song import CACHE, material
from .table import markdown, plain


def main() -> None:
    repetitions, wanted = int(os.environ.get("REPS", "5")), os.environ.get("ONLY", "")
    CACHE.mkdir(parents=True, exist_ok=True)
    found = conditions(repetitions)
    print("\n".join(found), flush=True)
    results: list[RowResult] = []
    started = time.monotonic()
    with tempfile.TemporaryDirectory(dir=CACHE) as scratch:
        for row in _rows(Path(scratch)):
            if wanted in row.title:
                results.append(measured(row, repetitions))
                print("\n" + plain(results[-1]), flush=True)
    print(f"\n{time.monotonic() - started:.0f} s; {_count(results)}")
    kept = {"conditions": found, "rows": [asdict(result) for result in results]}
    (CACHE / "results.json").write_text(json.dumps(kept, indent=1, ensure_ascii=False), encoding="utf-8")
    (CACHE / "results.md").write_text(markdown(results), encoding="utf-8")


def _rows(scratch: Path) -> Iterator[Row]:
    """One after another, so that what a row holds in memory is let go of before the next."""
    song = material()
    yield from process_rows(song, scratch)
    from .rows_edit import edit_rows
    from .rows_sound import sound_rows

    yield from sound_rows(song, scratch)
    yield from edit_rows(song)
    from .rows_sections import section_rows

    yield from section_rows(song)
    from .rows_deliver import deliver_row

    yield deliver_row(scratch)
    if os.environ.get("LONG"):
        from .rows_long import long_row

        yield long_row(scratch)


def _count(results: list[RowResult]) -> str:
    goals = [limit.reached for result in results for limit in result.limits]
    goals += [peer.reached for result in results for peer in result.peers if peer.reached is not None]
    return f"{sum(goals)} of {len(goals)} goals reached"


if __name__ == "__main__":
    main()
