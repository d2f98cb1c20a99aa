"""The mix of another version of a song, in the main mix's time."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import ExitStack
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path

import numpy as np

from arsis.audio import BLOCK_FRAMES, Block
from arsis.errors import NotSameRecordingError, PlanError
from arsis.io.digest import sha256_of
from arsis.io.read import SoundReader, open_sound
from arsis.measure.alignment import Alignment, ReadAt, find_alignment
from arsis.measure.fine_alignment import finer
from arsis.plan.model import RidePoint, Song, Version
from arsis.plan.trouble import quoted
from arsis.units import db_to_gain

from .printed import MISSING_S, AlignedSound, SoundAt, align_printed, check_form, covers
from .source import Source
from .version_source import VersionSound, VersionSource, near_whole

# A voice alone correlates with its mix far less than a treatment of the mix does; another song, hardly.
LEAST_CORRELATION = 0.15
# With less of the mix than this, a version is looked for in what another version leaves of it, too.
RICH_CORRELATION = 0.7
# What lies outside the main mix's time and is softer than this is no music. Common practice, no source.
REST_DBFS = -60.0


def open_version(main: Source, version: Version, release: Path, stack: ExitStack) -> VersionSource:
    """The mix of a version that follows, lined up with the main one.

    Raises PlanError with the reason where it cannot follow.
    """
    for one in main.followers:
        if one.version == version:
            return one
    _check_passes(main.song, version)
    path = release / version.mix
    mix = stack.enter_context(open_sound(path))
    others = [release / one.mix for one in main.song.version if one.name != version.name]
    try:
        alignment = _alignment(main.mix, mix, [one for one in others if one.exists()])
        _check_nothing_more(alignment, main.mix, mix)
    except NotSameRecordingError as reason:
        raise PlanError(
            f"{path}: {version.name} cannot follow {main.song.title!r}: {reason}; with follow = false it "
            "gets the same treatment by its own level, and its own limiter at the same ceiling; or leave it "
            "out"
        ) from reason
    frames = main.mix.info.frames
    near = near_whole(mix, alignment, frames)
    used = {section.pass_ for section in main.song.section}
    printed = {
        one.pass_: _printed(stack.enter_context(open_sound(release / one.file)), near, main.mix)
        for one in version.print
        if one.pass_ in used
    }
    return VersionSource(version, mix, sha256_of(path), VersionSound(mix, alignment, frames), printed)


@dataclass(frozen=True, slots=True)
class Apart:
    """A version that goes its own way, as a song of its own: the same plan, by its own level.

    offset_s: how much later than in the main mix its music lies; sections and drawn rides are moved by it.
    """

    source: Source
    offset_s: float


def open_apart(main: Source, version: Version, release: Path, stack: ExitStack) -> Apart:
    """Opens a version that goes its own way. Raises PlanError where the plan does not fit it."""
    _check_passes(main.song, version)
    mix = stack.enter_context(open_sound(release / version.mix))
    try:
        offset_s = _near(SoundAt(main.mix), main.mix, mix, LEAST_CORRELATION).offset_frames / mix.info.rate_hz
    except NotSameRecordingError:
        offset_s = 0.0
    song = _moved(replace(main.song, mix=version.mix, mix_sha256=None), offset_s)
    used = {section.pass_ for section in song.section if song.pass_[section.pass_].print is not None}
    printed = {
        one.pass_: align_printed(stack.enter_context(open_sound(release / one.file)), mix)
        for one in version.print
        if one.pass_ in used
    }
    return Apart(Source(song, mix, sha256_of(release / version.mix), printed), offset_s)


def _moved(song: Song, offset_s: float) -> Song:
    """The song's sections and ride so much later; what lies before the start is left out."""
    moved = [replace(section, start_s=section.start_s + offset_s) for section in song.section]
    heard = [section for section, following in pairwise(moved) if following.start_s > 0.0]
    first, *rest = [*heard, moved[-1]]
    ride = _from_start([replace(point, time_s=point.time_s + offset_s) for point in song.ride])
    return replace(song, section=(replace(first, start_s=0.0, join=None), *rest), ride=ride)


def _from_start(ride: Sequence[RidePoint]) -> tuple[RidePoint, ...]:
    """The ride without its points before the start, where it has the level that it has come to by then."""
    later = tuple(point for point in ride if point.time_s >= 0.0)
    if len(later) == len(ride):
        return later
    level_db = float(np.interp(0.0, [p.time_s for p in ride], [p.gain_db for p in ride]))
    return (replace(ride[0], time_s=0.0, gain_db=level_db), *(p for p in later if p.time_s > 0.0))


def _check_passes(song: Song, version: Version) -> None:
    """A pass that was printed elsewhere cannot be done again here, to another mix.

    Raises PlanError where the version has no print of its own of it.
    """
    used, own = {section.pass_ for section in song.section}, {one.pass_ for one in version.print}
    for name, treatment in song.pass_.items():
        if treatment.print is not None and name in used - own:
            raise PlanError(
                f"{version.name} of {song.title!r} cannot be printed through pass {name}, printed elsewhere: "
                f"it needs a print of its own: print = [{{ pass = {quoted(name)}, file = … }}] of the "
                "version, or is left out"
            )


def _printed(reader: SoundReader, sound: AlignedSound, main: SoundReader) -> AlignedSound:
    frames, rate_hz = main.info.frames, main.info.rate_hz
    try:
        check_form(reader, main)
        found = find_alignment(sound, SoundAt(reader), frames, reader.info.frames, rate_hz)
        covers(found, frames, reader.info.frames, rate_hz)
    except NotSameRecordingError as reason:
        raise PlanError(f"{reader.info.path}: not a print of the version: {reason}") from reason
    return AlignedSound(reader, found, frames)


def _alignment(main: SoundReader, mix: SoundReader, others: Sequence[Path]) -> Alignment:
    """Raises NotSameRecordingError with the reason where the two are not one song from end to end."""
    by_itself: Alignment | NotSameRecordingError
    try:
        by_itself = _against(SoundAt(main), main, mix, LEAST_CORRELATION)
        if by_itself.correlation >= RICH_CORRELATION:
            return by_itself
    except NotSameRecordingError as reason:
        by_itself = reason
    beside = [near for path in others if (near := _beside(path, main, mix)) is not None]
    best = max(beside, key=lambda near: near.correlation, default=None)
    if isinstance(by_itself, NotSameRecordingError):
        if best is None:
            raise by_itself
        return best
    return by_itself if best is None else replace(best, correlation=by_itself.correlation)


def _against(reference: ReadAt, main: SoundReader, mix: SoundReader, least: float) -> Alignment:
    """Of a mix that lasts from end to end of the main one."""
    found = _near(reference, main, mix, least)
    covers(found, main.info.frames, mix.info.frames, main.info.rate_hz)
    return found


def _check_nothing_more(found: Alignment, main: SoundReader, mix: SoundReader) -> None:
    """Raises NotSameRecordingError where the mix sounds outside the main one's time: it would be cut off."""
    rate_hz, ratio = mix.info.rate_hz, 1.0 + found.drift_ppm * 1e-6
    end = round(found.offset_frames + ratio * main.info.frames)
    parts = (
        (0, round(found.offset_frames), "begins before the main mix"),
        (end, mix.info.frames - end, "goes on after the main mix"),
    )
    for start, frames, what in parts:
        if frames > MISSING_S * rate_hz and _peak(mix, start, frames) > db_to_gain(REST_DBFS):
            raise NotSameRecordingError(f"it {what}, by {frames / rate_hz:.3f} s")


def _peak(mix: SoundReader, start: int, frames: int) -> float:
    mix.seek(start)
    peak = 0.0
    while frames > 0 and (block := mix.read(min(frames, BLOCK_FRAMES))).shape[1]:
        peak = max(peak, float(np.abs(block).max()))
        frames -= block.shape[1]
    return peak


def _near(reference: ReadAt, main: SoundReader, mix: SoundReader, least: float) -> Alignment:
    check_form(mix, main)
    frames, other = main.info.frames, SoundAt(mix)
    found = find_alignment(reference, other, frames, mix.info.frames, main.info.rate_hz, least)
    return finer(found, reference, other, frames)


def _beside(path: Path, main: SoundReader, mix: SoundReader) -> Alignment | None:
    """Where the mix lies against what another version leaves of the main one; None where it is not that."""
    with open_sound(path) as reader:
        try:
            near = _against(SoundAt(main), main, reader, RICH_CORRELATION)
            other, level = near_whole(reader, near, main.info.frames), db_to_gain(-near.gain_db)
            whole = SoundAt(main)

            def rest(start: int, frames: int) -> Block:
                return whole(start, frames) - level * other(start, frames)

            return _against(rest, main, mix, RICH_CORRELATION)
        except NotSameRecordingError:
            return None
