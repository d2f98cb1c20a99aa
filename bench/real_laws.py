"""The laws of sound, as in tests/test_laws.py, held to real songs. Each gives what is wrong, or nothing."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import replace
from pathlib import Path

import numpy as np
import pyebur128
from numpy.typing import NDArray

from arsis.audio import Block
from arsis.io.digest import sha256_of
from arsis.io.read import read_all
from arsis.measure.seam import SEAM_LIMIT_DB, seam
from arsis.plan.edit import split
from arsis.plan.model import Pass, Section, Song
from arsis.render.contour import Contour
from arsis.render.ear import LEAST_STEP_DB, MOST_OF_A_STEP
from arsis.render.opening import open_source
from arsis.render.run import Joins
from arsis.render.words import Word
from arsis.settings import Limiter
from arsis.workflow.print import Printed
from tests.renders import make_print
from tests.tolerances import CEILING_DB

from .real_meters import ffmpeg_true_peak_dbtp, highest_true_peak_dbtp
from .real_plans import CEILING_DBTP, WORK_DB

Faults = Iterator[str]
FULL_SCALE = 2.0**23

FFMPEG_DB = 0.05  # it gives tenths
STEP_LU = 0.02  # steps of two renders, whose words differ by dither, against what is said of them
SECTION_LU = (
    0.1  # libebur128 over a section cut out, its filters at rest where ours have heard what came before
)
LAG_FRAMES = 1 << 18


def rendered(song: Song, folder: Path, word: Word | None = None, **how: int) -> NDArray[np.int32] | Block:
    """The words of a plan, in memory."""
    with ExitStack() as stack:
        return make_print(open_source(song, folder, stack), word or Word(24), **how).words


def words_of(path: Path) -> NDArray[np.int64]:
    return np.rint(read_all(path) * FULL_SCALE).astype(np.int64)


def law_1(song: Song, folder: Path) -> Faults:
    """The plan that `start` wrote gives the mix's own words."""
    changed = np.any(words_of(folder / song.mix) != rendered(song, folder), axis=0)
    if changed.any():
        yield f"a plan that does nothing changes {int(changed.sum())} frames, first {int(changed.argmax())}"


def law_1_lossy(published: Path, floats: Block) -> Faults:
    """A lossy mix has no words. Printed as floats it passes untouched; in 24 bits within the dither."""
    alone = Song(
        title="published",
        mix=published.name,
        section=(Section(name="whole", start_s=0.0, pass_="A"),),
        pass_={"A": Pass()},
    )
    if not np.array_equal(rendered(alone, published.parent, Word(32, is_float=True)), floats):
        yield "what was decoded is not what is printed as floats"
    fits = np.abs(floats) < 1.0 - 2.0 / FULL_SCALE
    away = np.abs(rendered(alone, published.parent) - floats * FULL_SCALE)[fits].max()
    if away > 1.5:
        yield f"24 bits are {away:.2f} steps from what was decoded, 1.5 are noise and rounding"


def law_2(
    song: Song,
    folder: Path,
    words: NDArray[np.int64],
    ways: tuple[tuple[int, int], ...] = ((4_097, 1), (50_000, 2)),
) -> Faults:
    """Other block sizes, with one thread and with two, give the print's words."""
    for block_frames, threads in ways:
        if not np.array_equal(rendered(song, folder, block_frames=block_frames, threads=threads), words):
            yield f"other words with blocks of {block_frames} and {threads} thread(s)"


def law_3(words: NDArray[np.int64], mix: NDArray[np.int64]) -> Faults:
    """The cross-correlation of print and mix, high frequencies lifted, peaks at no lag."""
    if words.shape != mix.shape:
        yield f"the print has {words.shape[1]} frames, the mix {mix.shape[1]}"
        return
    for part in (0.2, 0.5, 0.8):
        start = max(0, int(part * mix.shape[1]) - LAG_FRAMES // 2)
        a, b = (np.diff(x[:, start : start + LAG_FRAMES].mean(axis=0)) for x in (mix, words))
        size = 2 * a.size
        cross = np.fft.irfft(np.fft.rfft(b, size) * np.conj(np.fft.rfft(a, size)), size)
        lag = int(np.argmax(cross))
        if lag:
            yield f"at {start} the print lies {lag if lag < size // 2 else lag - size} frames late"


def law_4(path: Path, words: NDArray[np.int64]) -> Faults:
    """The true peak by two meters that are not ours."""
    long_dbtp = highest_true_peak_dbtp(words / FULL_SCALE)
    if long_dbtp > CEILING_DBTP + CEILING_DB:
        yield f"the 16-times meter reads {long_dbtp:.3f} dBTP"
    theirs_dbtp = ffmpeg_true_peak_dbtp(path)
    if theirs_dbtp > CEILING_DBTP + FFMPEG_DB:
        yield f"FFmpeg reads {theirs_dbtp:.1f} dBTP"


def law_5(song: Song, folder: Path) -> Faults:
    """20 dB down, the limiter changes nothing."""
    plans = (
        replace(song, finish=replace(song.finish, gain_db=-20.0, limiter=limiter))
        for limiter in (None, Limiter(ceiling_dbtp=CEILING_DBTP))
    )
    without, guarded = (rendered(plan, folder) for plan in plans)
    if not np.array_equal(without, guarded):
        yield "the limiter changes what is 20 dB below its ceiling"


def law_6(song: Song, folder: Path, end_s: float, words: NDArray[np.int64]) -> Faults:
    """The longest section in two gives the same words."""
    starts = [section.start_s for section in song.section]
    length_s, start_s = max((b - a, a) for a, b in zip(starts, [*starts[1:], end_s], strict=True))
    halves = split(song, round(start_s + 0.43 * length_s, 6), "second half")
    if not np.array_equal(rendered(halves, folder), words):
        yield f"a section cut in two at {start_s + 0.43 * length_s:.3f} s changes words"


def law_8(first: Printed, second: Printed) -> Faults:
    """Two prints are the same file."""
    if sha256_of(first.out) != sha256_of(second.out):
        yield "the second print has other bytes"
    if first.sha256 != sha256_of(first.out):
        yield "the print's SHA-256 is not what was said"


def law_11(printed: Printed, plain: Contour, shape: Contour) -> Faults:
    """What is said of the limiter against renders with and without it."""
    for without, made in zip(plain.sections, shape.sections, strict=True):
        before, after, said = without.step_print_lu, made.step_print_lu, made.took.step_db
        if before is not None and after is not None and said is not None:
            taken = before - after
            if abs(taken - said) > STEP_LU:
                yield f"{made.name}: {taken:.3f} LU of its step are gone, said: {said:.3f}"
        if printed.took.sections[made.name] != made.took:
            yield f"{made.name}: print and contour differ about what the limiter took"
        eaten = made.took.step_db or 0.0
        reported = any(w.startswith(f"{made.name}: of the") for w in printed.warnings)
        asked = made.step_asked_db or 0.0
        if reported != (asked >= LEAST_STEP_DB and eaten > MOST_OF_A_STEP * asked):
            yield f"{made.name}: {eaten:.2f} LU of {asked:.2f} taken, reported: {reported}"
    if printed.took.max_db < WORK_DB - 0.05:
        yield f"peaks stood {WORK_DB} dB above the ceiling, said to be taken: {printed.took.max_db:.2f}"


def law_11_levels(shape: Contour, mix: NDArray[np.int64], words: NDArray[np.int64], rate_hz: int) -> Faults:
    """The loudness of sections of mix and print against libebur128 over the same frames."""
    for section in shape.sections:
        span = slice(round(section.start_s * rate_hz), round(section.end_s * rate_hz))
        for what, sound, ours in (
            ("mix", mix, section.mix.loudness_lufs),
            ("print", words, section.print.loudness_lufs),
        ):
            theirs = _loudness_lufs(sound[:, span] / FULL_SCALE, rate_hz)
            if abs(ours - theirs) > SECTION_LU:
                yield f"{section.name} of the {what}: {ours:.2f}, libebur128 {theirs:.2f} LUFS"


def joins_clean(joins: Joins, rate_hz: int) -> Faults:
    """No join can be heard, and its passes are alike there."""
    for report, found in zip(joins.reports, seams_db(joins, rate_hz), strict=True):
        if found >= SEAM_LIMIT_DB:
            yield f"the seam into {report.into} stands out by {found:.2f} dB"
        if not report.alike:
            yield f"the passes at {report.into} have a correlation of {report.correlation:.3f}"


def seams_db(joins: Joins, rate_hz: int) -> list[float]:
    """Of each join, how far it rises above or falls below both its passes."""
    found = (seam(sound.made, sound.before, sound.after, rate_hz) for sound in joins.sounds)
    return [max(one.bump_db, one.dip_db) for one in found]


def _loudness_lufs(block: Block, rate_hz: int) -> float:
    """Without a gate, over all of it: the mean of the momentary powers of stretches that do not overlap."""
    channels, frames = block.shape
    stretch = round(0.4 * rate_hz)
    padded = np.pad(block, ((0, 0), (0, -frames % stretch)))
    packed = np.ascontiguousarray(padded.T)
    state = pyebur128.R128State(channels, rate_hz, pyebur128.MeasurementMode.MODE_M)
    power = 0.0
    for start in range(0, len(packed), stretch):
        state.add_frames(packed[start : start + stretch].ravel(), stretch)
        power += 10.0 ** (pyebur128.get_loudness_momentary(state) / 10.0)
    return 10.0 * float(np.log10(power * stretch / frames))
