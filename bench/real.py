"""`make real`: the laws of sound on openly licensed music from Debian packages.

ONLY: the songs with this in their name, and no others. Exit status 1 where a law does not hold, 2 where the
music cannot be had. Results go to .cache/real.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
from concurrent.futures import ProcessPoolExecutor, as_completed
from multiprocessing import get_context
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))

from bench import real_table as say  # noqa: E402
from bench.real_music import CACHE, NotToBeHadError, RealSong, real_songs  # noqa: E402
from bench.real_song import SongResult, take  # noqa: E402


def main() -> int:
    try:
        songs = [song for song in real_songs() if os.environ.get("ONLY", "") in song.name]
    except NotToBeHadError as why:
        print(f"the music cannot be had, so nothing was checked: {why}", file=sys.stderr)
        return 2
    started = time.monotonic()
    results = _all(songs)
    lines = [
        say.table(results), "", f"{sum(r.held for r in results)} of {len(results)} songs hold every law; "
        f"{sum(r.joins for r in results)} joins; {time.monotonic() - started:.0f} s",
    ]  # fmt: skip
    if not all(result.held for result in results):
        lines += ["", "what does not hold:", say.faults(results)]
    print("\n" + "\n".join(lines))
    pages = [*lines, "", say.credits(results), "", *(say.sections(result) for result in results)]
    pages += [f"{r.song.name}: {warning}" for r in results for warning in r.warnings]
    (CACHE / "results.md").write_text("\n".join(pages) + "\n", encoding="utf-8")
    return 0 if all(result.held for result in results) else 1


def _all(songs: list[RealSong]) -> list[SongResult]:
    """A process a core: songs have nothing to do with one another."""
    with ProcessPoolExecutor(os.cpu_count(), mp_context=get_context("spawn")) as pool:
        jobs = [pool.submit(_one, song) for song in songs]
        for done in as_completed(jobs):
            result = done.result()
            print(
                f"{result.song.name}: {'holds' if result.held else 'FAILS'}, {result.seconds:.0f} s",
                flush=True,
            )
        return [job.result() for job in jobs]


def _one(song: RealSong) -> SongResult:
    with tempfile.TemporaryDirectory(dir=CACHE) as scratch:
        return take(song, Path(scratch))


if __name__ == "__main__":
    sys.exit(main())
