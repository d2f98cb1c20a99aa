"""`make bench-advise`: faults planted into balanced songs, and what `arsis advise` says of them.

SONGS: names, `seen`, `unseen`, `fresh`, `new`, `last` (the default), `next` or `after`. SIZES: in dB. Every
case is a plan left alone over a harmed mix, with the sections as composed; an attack that the mix has too
little of to lose is left out. Prints each case, then hits and sizes by class, then what is advised on the
songs as they are. Results go to .cache/advise.md.
"""

from __future__ import annotations

import math
import os
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import ExitStack
from dataclasses import dataclass
from multiprocessing import get_context
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from arsis.advice.evidence import Evidence  # noqa: E402
from arsis.advice.shape import judge_shape  # noqa: E402
from arsis.demo.songs import DemoSong, make_song  # noqa: E402
from arsis.io.write import write_sound  # noqa: E402
from arsis.plan.model import Pass, Section, Song  # noqa: E402
from arsis.render.opening import open_source  # noqa: E402
from arsis.workflow.advise import hear  # noqa: E402
from bench.corpus import AFTER, FRESH, LAST, NEW, NEXT, SEEN, UNSEEN, corpus_song  # noqa: E402
from bench.harms import FULL_SCALE, Harm, NotPlantedError, harmed, harms  # noqa: E402

GOOD_DEMOS = ("nine-lamps", "ebb-clock")
BAND_OCTAVES, SIZE_DB = 1.0 / 3.0, 0.5
CACHE = ROOT / ".cache"


@dataclass(frozen=True, slots=True)
class Case:
    """A song with a fault or without, and all that was said of it."""

    song: str
    harm: Harm | None
    said: tuple[Evidence, ...]

    @property
    def hit(self) -> Evidence | None:
        """What names the right class in the right kind of section, at the right place."""
        harm = self.harm
        if harm is None:
            return None
        return next(
            (one for one in self.said if (one.what, one.kind) == (harm.what, harm.kind) and self._near(one)),
            None,
        )

    @property
    def beside(self) -> int:
        """How much else was said."""
        return len(self.said) - (self.hit is not None)

    def _near(self, one: Evidence) -> bool:
        harm = self.harm
        if harm is None or harm.freq_hz is None or one.freq_hz is None or harm.shelf:
            return True
        return abs(math.log2(one.freq_hz / harm.freq_hz)) <= BAND_OCTAVES


def listen(song: DemoSong, harm: Harm | None) -> tuple[Evidence, ...]:
    """What is said of a song with a fault in it."""
    words = np.rint(harmed(song, harm) * FULL_SCALE).astype(np.int32)
    sections = (
        Section(name=s.name, kind=s.kind, start_s=round(s.start_s, 6), pass_="A") for s in song.sections
    )
    return evidence_of(words, song.rate_hz, song.title, tuple(sections))


def evidence_of(
    words: NDArray[np.int32], rate_hz: int, title: str, sections: tuple[Section, ...]
) -> tuple[Evidence, ...]:
    """What is said of a plan that leaves this mix alone. words: (2, frames), of 24 bits."""
    with tempfile.TemporaryDirectory() as scratch, ExitStack() as stack:
        folder = Path(scratch)
        with write_sound(folder / "mix.wav", rate_hz, 2, encoding="pcm_s24") as sound:
            sound.write(words)
        plan = Song(title=title, mix="mix.wav", section=sections, pass_={"A": Pass()})
        heard = hear(open_source(plan, folder, stack))
        return judge_shape(heard.shape, heard.moments).evidence


def kinds_of(song: DemoSong) -> tuple[str, str]:
    """Refrains and verses, or what stands for them: the two kinds that are planted in."""
    kinds = [section.kind for section in song.sections]
    if "chorus" in kinds:
        return "chorus", "verse"
    return next(kind for kind in ("bridge", "solo", "interlude") if kind in kinds), "verse"


def cases_of(name: str, sizes_db: Sequence[float]) -> list[Case]:
    song = make_song(name) if name in GOOD_DEMOS else corpus_song(name)
    planted: list[Harm | None] = [None, *harms(kinds_of(song), sizes_db)]
    if "chorus" not in kinds_of(song):
        planted = [harm for harm in planted if harm is None or harm.what not in ("step", "width")]
    cases = []
    for harm in planted:
        try:
            cases.append(Case(name, harm, listen(song, harm)))
        except NotPlantedError as why:
            print(f"left out: {why}", flush=True)
    return cases


def table(cases: Sequence[Case]) -> Iterator[str]:
    """By class and size: how many were named, how many of these in size, and what else was said."""
    yield f"{'class':<10}{'planted':>9}{'cases':>7}{'named':>8}{'size':>8}{'else':>7}"
    planted = [case for case in cases if case.harm is not None]
    rows = sorted({(case.harm.what, case.harm.size_db) for case in planted if case.harm})
    for what, size_db in rows:
        inside = [c for c in planted if c.harm and (c.harm.what, c.harm.size_db) == (what, size_db)]
        yield _row(what, f"{size_db:g} dB", inside)
    large = [case for case in planted if case.harm and case.harm.size_db >= 1.5]
    for what in dict.fromkeys(row[0] for row in rows):
        yield _row(what, ">= 1.5 dB", [case for case in large if case.harm and case.harm.what == what])
    yield _row("all", ">= 1.5 dB", large)
    clean = [case for case in cases if case.harm is None]
    yield f"\nadvised on {len(clean)} songs as they are: {sum(len(case.said) for case in clean)}"
    for case in clean:
        for one in case.said:
            yield f"  {case.song}: {one.id} {one.size_db:+.1f} dB (sure {one.sure})"


def _row(what: str, size: str, cases: Sequence[Case]) -> str:
    hits = [case for case in cases if case.hit]
    sized = [
        case
        for case in hits
        if case.harm and case.hit and abs(abs(case.hit.size_db) - case.harm.size_db) <= SIZE_DB
    ]
    share = len(hits) / max(1, len(cases))
    beside = sum(case.beside for case in cases) / max(1, len(cases))
    in_size = f"{len(sized)}/{len(hits)}"
    return f"{what:<10}{size:>9}{len(cases):>7}{share:>8.0%}{in_size:>8}{beside:>7.2f}"


def line(case: Case) -> str:
    """A case in a line: a hit, or what was said instead."""
    says = "as it is" if case.harm is None else case.harm.says
    told = ", ".join(
        f"{one.id} {one.size_db:+.1f}" + (f" at {one.freq_hz:.0f} Hz" if one.freq_hz else "")
        for one in case.said
    )
    mark = "-" if case.harm is None else "hit" if case.hit else "miss"
    return f"{case.song:<15}{says:<28}{mark:<6}{told or 'leave it'}"


def main() -> int:
    wanted = os.environ.get("SONGS", "last")
    lists = {
        "seen": (*GOOD_DEMOS, *SEEN),
        "unseen": UNSEEN,
        "fresh": FRESH,
        "new": NEW,
        "last": LAST,
        "next": NEXT,
        "after": AFTER,
    }
    names = lists.get(wanted, tuple(wanted.split()))
    sizes_db = tuple(float(size) for size in os.environ.get("SIZES", "1.5 2 3").split())
    started = time.monotonic()
    with ProcessPoolExecutor(os.cpu_count(), mp_context=get_context("spawn")) as pool:
        cases = []
        for made in pool.map(cases_of, names, [sizes_db] * len(names)):
            cases += made
            print("\n".join(line(case) for case in made), flush=True)
    lines = [*table(cases), f"{time.monotonic() - started:.0f} s"]
    print("\n" + "\n".join(lines))
    CACHE.mkdir(exist_ok=True)
    (CACHE / "advise.md").write_text("\n".join([*map(line, cases), "", *lines]) + "\n", encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
