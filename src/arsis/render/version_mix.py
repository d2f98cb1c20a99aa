"""The mix of another version of a song, in the main mix's time."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import ExitStack
from dataclasses import dataclass, field, replace
from itertools import pairwise
from pathlib import Path

from arsis.audio import Block
from arsis.errors import NotSameRecordingError, PlanError
from arsis.io.digest import sha256_of
from arsis.io.read import SoundReader, open_sound
from arsis.measure.alignment import Alignment, ReadAt, find_alignment
from arsis.measure.fine_alignment import finer
from arsis.plan.model import Song, Version
from arsis.plan.trouble import quoted

from .printed import AlignedSound, SoundAt, align_printed, covers
from .source import Source, seed_of

# A voice alone correlates with its mix far less than a treatment of the mix does; another song, hardly.
LEAST_CORRELATION = 0.15
# What is shared with the mix says when to a millionth of a frame; a voice by itself, to a few thousandths.
WHOLE_FRAME = 0.01
# With less of the mix than this, a version is looked for in what another version leaves of it, too.
RICH_CORRELATION = 0.7


@dataclass(frozen=True, slots=True)
class VersionSource:
    """A version's mix, open.

    sound: it in the main mix's time. printed: its own prints of passes that were printed elsewhere.
    """

    version: Version
    mix: SoundReader
    mix_sha256: str
    sound: AlignedSound
    printed: Mapping[str, AlignedSound] = field(default_factory=dict)

    @property
    def alignment(self) -> Alignment:
        return self.sound.alignment

    @property
    def seed(self) -> int:
        """Of the dither noise: the version's own mix's."""
        return seed_of(self.mix_sha256)


def open_version(main: Source, version: Version, release: Path, stack: ExitStack) -> VersionSource:
    """The mix of a version that follows, lined up with the main one.

    Raises PlanError with the reason where it cannot follow.
    """
    _check_passes(main.song, version)
    path = release / version.mix
    mix = stack.enter_context(open_sound(path))
    others = [release / one.mix for one in main.song.version if one.name != version.name]
    try:
        alignment = _alignment(main.mix, mix, [one for one in others if one.exists()])
    except NotSameRecordingError as reason:
        raise PlanError(
            f"{path}: {version.name} cannot follow {main.song.title!r}: {reason}; with follow = false it "
            "gets the same treatment by its own level, and its own limiter at the same ceiling"
        ) from reason
    sound = AlignedSound(mix, alignment, main.mix.info.frames, WHOLE_FRAME)
    used = {section.pass_ for section in main.song.section}
    printed = {
        one.pass_: _printed(stack.enter_context(open_sound(release / one.file)), sound, main.mix)
        for one in version.print
        if one.pass_ in used
    }
    return VersionSource(version, mix, sha256_of(path), sound, printed)


def open_apart(main: Source, version: Version, release: Path, stack: ExitStack) -> Source:
    """A version that goes its own way, as a song of its own: the same plan, by its own level.

    Where its mix begins earlier or later than the main one and is the same music, sections and drawn rides
    move along. Raises PlanError where the plan does not fit it.
    """
    mix = stack.enter_context(open_sound(release / version.mix))
    try:
        offset_s = _alignment(main.mix, mix, ()).offset_frames / mix.info.rate_hz
    except NotSameRecordingError:
        offset_s = 0.0
    _check_passes(main.song, version)
    song = _moved(replace(main.song, mix=version.mix, mix_sha256=None), offset_s)
    prints = {one.pass_: release / one.file for one in version.print}
    printed = {
        section.pass_: align_printed(stack.enter_context(open_sound(prints[section.pass_])), mix)
        for section in song.section
        if song.pass_[section.pass_].print is not None
    }
    return Source(song, mix, sha256_of(release / version.mix), printed)


def _moved(song: Song, offset_s: float) -> Song:
    """The song's sections and ride so much later; what lies before the start is left out."""
    moved = [replace(section, start_s=section.start_s + offset_s) for section in song.section]
    heard = [section for section, following in pairwise(moved) if following.start_s > 0.0]
    first, *rest = [*heard, moved[-1]]
    ride = tuple(replace(point, time_s=max(0.0, point.time_s + offset_s)) for point in song.ride)
    return replace(song, section=(replace(first, start_s=0.0, join=None), *rest), ride=ride)


def _check_passes(song: Song, version: Version) -> None:
    """A pass that was printed elsewhere cannot be done again here, to another mix."""
    used, own = {section.pass_ for section in song.section}, {one.pass_ for one in version.print}
    for name, treatment in song.pass_.items():
        if treatment.print is not None and name in used - own:
            raise PlanError(
                f"{version.name} cannot follow {song.title!r} through pass {name}, printed elsewhere: it "
                f"needs a print of its own: print = [{{ pass = {quoted(name)}, file = … }}] of the version"
            )


def _printed(reader: SoundReader, sound: AlignedSound, main: SoundReader) -> AlignedSound:
    frames, rate_hz = main.info.frames, main.info.rate_hz
    try:
        found = find_alignment(sound, SoundAt(reader), frames, reader.info.frames, rate_hz)
        covers(found, frames, reader.info.frames, rate_hz)
    except NotSameRecordingError as reason:
        raise PlanError(f"{reader.info.path}: not a print of the version: {reason}") from reason
    return AlignedSound(reader, found, frames)


def _alignment(main: SoundReader, mix: SoundReader, others: Sequence[Path]) -> Alignment:
    """Raises NotSameRecordingError with the reason where the two are not one song from end to end."""
    found = _against(SoundAt(main), main, mix, LEAST_CORRELATION)
    if found.correlation >= RICH_CORRELATION:
        return found
    beside = [near for path in others if (near := _beside(path, main, mix)) is not None]
    best = max(beside, key=lambda near: near.correlation, default=found)
    return replace(best, correlation=found.correlation, gain_db=found.gain_db)


def _against(reference: ReadAt, main: SoundReader, mix: SoundReader, least: float) -> Alignment:
    a, b = main.info, mix.info
    if (a.rate_hz, a.channels) != (b.rate_hz, b.channels):
        raise NotSameRecordingError(
            f"it has {b.channels} channel(s) at {b.rate_hz} Hz, the main mix {a.channels} at {a.rate_hz} Hz"
        )
    other = SoundAt(mix)
    found = find_alignment(reference, other, a.frames, b.frames, a.rate_hz, least)
    found = finer(found, reference, other, a.frames)
    covers(found, a.frames, b.frames, a.rate_hz)
    return found


def _beside(path: Path, main: SoundReader, mix: SoundReader) -> Alignment | None:
    """Where the mix lies against what another version leaves of the main one; None where it is not that."""
    with open_sound(path) as reader:
        try:
            near = _against(SoundAt(main), main, reader, RICH_CORRELATION)
            other = AlignedSound(reader, near, main.info.frames, WHOLE_FRAME)
            whole = SoundAt(main)

            def rest(start: int, frames: int) -> Block:
                return whole(start, frames) - other(start, frames)

            return _against(rest, main, mix, RICH_CORRELATION)
        except NotSameRecordingError:
            return None
