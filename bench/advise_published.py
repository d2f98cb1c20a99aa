"""`python bench/advise_published.py`: what `arsis advise` says of published songs with a chorus, as they are.

The songs of `bench/form` whose chorus was written down; beside it, as the verse, the other letter that lasts
longest. Nobody says what was meant, so nothing here is right or wrong: it shows how often it speaks.
"""

from __future__ import annotations

import os
import sys
from collections import Counter, defaultdict
from collections.abc import Iterator
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np

from arsis.advice.evidence import Evidence
from arsis.io.read import open_sound
from arsis.plan.model import Section
from bench.advise import evidence_of
from bench.form.real import REAL, RealForm, sound_of
from bench.form.real_later import REAL_LATER
from bench.form.real_refrains import REAL_REFRAINS
from bench.form.real_refrains_more import REAL_REFRAINS_MORE
from bench.form.real_rock import REAL_ROCK
from bench.form.real_seen import REAL_SEEN
from bench.form.scores import Form
from bench.harms import FULL_SCALE

LISTS = (REAL, REAL_SEEN, REAL_LATER, REAL_ROCK, REAL_REFRAINS, REAL_REFRAINS_MORE)
PEAK = 0.94  # of what comes out of lossy files past full scale


def sections_of(form: Form) -> tuple[Section, ...] | None:
    """Choruses, verses and the rest; None where there is a chorus and nothing else."""
    lengths_s: defaultdict[str, float] = defaultdict(float)
    for (start_s, end_s), letter, kind in zip(form.intervals, form.letters, form.kinds, strict=True):
        if kind != "chorus":
            lengths_s[letter] += float(end_s - start_s)
    if not lengths_s:
        return None
    verse = max(lengths_s, key=lambda letter: lengths_s[letter])
    rows = enumerate(zip(form.starts_s, form.letters, form.kinds, strict=True))
    return tuple(
        Section(
            name=f"part {number}",
            kind="chorus" if kind == "chorus" else "verse" if letter == verse else "other",
            start_s=round(start_s, 6),
            pass_="A",
        )
        for number, (start_s, letter, kind) in rows
    )


def said_of(song: RealForm) -> tuple[Evidence, ...] | None:
    """What is advised; None where there is nothing to compare."""
    with open_sound(sound_of(song)) as file:
        sound, rate_hz = file.read(file.info.frames), file.info.rate_hz
    sections = sections_of(song.truth(sound.shape[1] / rate_hz)[0])
    if sections is None:
        return None
    sound = np.tile(sound, (2, 1))[:2] * min(1.0, PEAK / float(np.abs(sound).max()))
    return evidence_of(np.rint(sound * FULL_SCALE).astype(np.int32), rate_hz, song.name, sections)


def all_said() -> Iterator[tuple[str, tuple[Evidence, ...]]]:
    """Song by song."""
    for song in (song for songs in LISTS for song in songs if song.chorus):
        if (said := said_of(song)) is not None:
            yield song.name, said


def main() -> int:
    whats, alone, songs = Counter[str](), 0, 0
    for name, said in all_said():
        print(
            f"{name:<28}{', '.join(f'{one.id} {one.size_db:+.1f}' for one in said) or 'leave it'}", flush=True
        )
        whats.update(one.what for one in said)
        alone, songs = alone + (not said), songs + 1
    print(f"{alone} of {songs} left alone; {', '.join(f'{what} {n}' for what, n in whats.most_common())}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
