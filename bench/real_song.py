"""One real song through the job: intake, sections, plans, prints, contours, and every law on the way."""

from __future__ import annotations

import time
from collections.abc import Iterable
from contextlib import ExitStack
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from arsis.errors import ArsisError
from arsis.io.digest import sha256_of
from arsis.plan.codec import read_song, song_to_toml
from arsis.plan.model import Song
from arsis.render.contour import Contour, SectionShape
from arsis.render.opening import open_source
from arsis.workflow.contour import listen
from arsis.workflow.print import print_song
from arsis.workflow.sections import Sections, find_sections
from arsis.workflow.start import start_release

from . import real_laws as laws
from . import real_plans as plans
from .real_meters import disagreements, libebur128
from .real_music import RealMix, RealSong, bring_in, decoded

SHORTEST_SECTION_S = 1.0
OUTBOARD_FRAMES = 0.25  # the air of the chain leads by a tenth of a frame, and so it is found


@dataclass(slots=True)
class SongResult:
    """What became of a song. faults: what was found against each law ("meters", "sections", "joins" too)."""

    song: RealSong
    length_s: float = 0.0
    rate_hz: int = 0
    integrated_lufs: float = 0.0
    range_lu: float = 0.0
    true_peak_dbtp: float = 0.0
    tempo_bpm: float | None = None
    sections: tuple[SectionShape, ...] = ()
    confidences: tuple[float, ...] = ()
    joins: int = 0
    seam_db: float = 0.0
    correlation: float = 1.0
    dip_db: float = 0.0
    took_mean_db: float = 0.0
    took_max_db: float = 0.0
    step_taken_lu: float = 0.0
    warnings: tuple[str, ...] = ()
    start_s: float = 0.0
    print_s: float = 0.0
    seconds: float = 0.0
    faults: dict[str, tuple[str, ...]] = field(default_factory=dict)

    def check(self, law: str, found: Iterable[str]) -> None:
        self.faults[law] = (*self.faults.get(law, ()), *found)

    @property
    def held(self) -> bool:
        return not any(self.faults.values())


def take(song: RealSong, folder: Path) -> SongResult:
    """Everything. A fault of arsis is a result, too."""
    started = time.perf_counter()
    result = SongResult(song)
    try:
        _through(result, folder)
    except ArsisError as fault:
        result.check("way", [f"refused: {fault}"])
    result.seconds = time.perf_counter() - started
    return result


def _through(result: SongResult, folder: Path) -> None:
    mix = bring_in(result.song, folder / "mixes")
    before = sha256_of(mix.path), mix.path.stat().st_mtime_ns
    _published(result, mix)
    plan, found = _started(result, mix, folder)
    result.check("1", laws.law_1(plan, folder))
    shapes = _listen(plan, folder).sections
    result.sections = shapes
    _mastered(result, plans.two_passes(plan, shapes), folder, found.sections[-1].end_s)
    _other_plans(result, plan, shapes, folder)
    if before != (sha256_of(mix.path), mix.path.stat().st_mtime_ns):
        result.check("9", ["the mix is not what it was"])
    result.check("9", [f"left behind: {path.name}" for path in folder.rglob("*.part*")])


def _published(result: SongResult, mix: RealMix) -> None:
    """The song as it was published: meters against libebur128, and what law 1 is for a lossy file."""
    measured = mix.published
    floats, rate_hz = decoded(result.song)
    result.length_s, result.rate_hz = measured.duration_s, rate_hz
    result.integrated_lufs, result.range_lu = measured.integrated_lufs, measured.range_lu
    result.true_peak_dbtp = measured.true_peak_dbtp
    result.check("meters", disagreements(measured, libebur128(floats, rate_hz)))
    result.check("1", laws.law_1_lossy(result.song.published, floats))


def _started(result: SongResult, mix: RealMix, folder: Path) -> tuple[Song, Sections]:
    started = time.perf_counter()
    release = start_release(folder, [mix.path])
    result.start_s = time.perf_counter() - started
    plan = read_song(release.songs[0].plan)
    found = find_sections(mix.path)
    result.tempo_bpm = found.tempo_bpm
    result.confidences = tuple(section.confidence or 0.0 for section in found.sections)
    again = [round(section.start_s, 6) for section in found.sections]
    if again != [section.start_s for section in plan.section]:
        result.check("sections", ["a second look finds other starts"])
    short = [s.name for s in found.sections if s.end_s - s.start_s < SHORTEST_SECTION_S]
    result.check("sections", [f"{name} is shorter than {SHORTEST_SECTION_S} s" for name in short])
    return plan, found


def _mastered(result: SongResult, plan: Song, folder: Path, end_s: float) -> None:
    """The plan of two passes: printed twice, its contour, and the laws on it."""
    plain = _listen(plan, folder)
    plan = plans.limited(plan, plain.print.true_peak_dbtp)
    path = folder / "songs" / f"{Path(plan.mix).stem}-two-passes.toml"
    path.write_text(song_to_toml(plan), encoding="utf-8")
    (folder / "prints").mkdir()
    printed = print_song(path, out=folder / "prints" / "first.wav")
    result.print_s = printed.render_s
    mix, words = laws.words_of(folder / plan.mix), laws.words_of(printed.out)
    shape = _listen(plan, folder)
    result.check("2", laws.law_2(plan, folder, words))
    result.check("3", laws.law_3(words, mix))
    result.check("4", laws.law_4(printed.out, words))
    result.check("5", laws.law_5(plan, folder))
    result.check("6", laws.law_6(plan, folder, end_s, words))
    result.check("8", laws.law_8(printed, print_song(path, out=folder / "prints" / "second.wav")))
    # What the limiter gets differs by the finish gain alone, which every step leaves as it is.
    result.check("11", laws.law_11(printed, plain, shape))
    result.check("11", laws.law_11_levels(shape, mix, words, result.rate_hz))
    _note_joins(result, shape)
    result.took_mean_db, result.took_max_db = printed.took.mean_db, printed.took.max_db
    result.step_taken_lu = max((abs(s.took.step_db) for s in shape.sections if s.took.step_db), default=0.0)
    result.warnings = printed.warnings


def _other_plans(result: SongResult, plan: Song, shapes: tuple[SectionShape, ...], folder: Path) -> None:
    """A linear-phase band, and a pass printed outside: in place, and their joins clean."""
    mix = laws.words_of(folder / plan.mix)
    for other in (
        plans.linear_phase(plan, shapes),
        plans.printed_elsewhere(plan, shapes, folder),
    ):
        shape = _listen(other, folder)
        _note_joins(result, shape)
        limited = plans.limited(other, shape.print.true_peak_dbtp)
        words = np.asarray(laws.rendered(limited, folder), np.int64)
        result.check("3", laws.law_3(words, mix))
        result.check("2", laws.law_2(limited, folder, words, ((50_000, 2),)))
    with ExitStack() as stack:
        aligned = open_source(other, folder, stack).printed["B"].alignment
    if abs(aligned.offset_frames - plans.OUTBOARD_LATE) > OUTBOARD_FRAMES or aligned.polarity != -1:
        result.check("3", [f"the outboard print was taken to be {aligned.offset_frames:.2f} frames late"])


def _listen(plan: Song, folder: Path) -> Contour:
    with ExitStack() as stack:
        return listen(open_source(plan, folder, stack), lambda _done, _all: None, keep_join_sound=True)


def _note_joins(result: SongResult, shape: Contour) -> None:
    result.check("joins", laws.joins_clean(shape.joins, result.rate_hz))
    result.joins += len(shape.joins.reports)
    result.seam_db = max([result.seam_db, *laws.seams_db(shape.joins, result.rate_hz)])
    result.correlation = min([result.correlation, *(join.correlation for join in shape.joins.reports)])
    result.dip_db = min([result.dip_db, *(join.dip_db for join in shape.joins.reports)])
