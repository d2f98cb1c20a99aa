"""Runs and versions as words on the disk: plain WAV in the staging folder, metered, without tags."""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import ExitStack
from dataclasses import dataclass, replace
from itertools import groupby
from operator import itemgetter

from arsis.io.whole import write_bytes_whole
from arsis.io.write import write_sound
from arsis.measure.groove import GrooveFacts
from arsis.plan.profile import Profile
from arsis.render.ear import SectionTook
from arsis.render.took import Took
from arsis.render.words import Word, Words
from arsis.report.facts import print_warnings, version_warnings
from arsis.report.text import clock, number
from arsis.units import frames_to_seconds

from .hearing import FileEar, unheard
from .jobs import Job, Made, RunJob, SongHeard, VersionJob, powers_path, words_path
from .manifest import Document, SoundFile
from .order import OrderedSong
from .record import Placed
from .sides import sides_meter
from .soundings import OpenRun, OpenSong, open_run, word_of
from .staging import entry_of
from .version_sound import open_version_run, ordered_version


def run_words_files(job: RunJob) -> Made:
    """A file of words for each song of a run."""
    order, word = job.order, word_of(job.order.profile)
    with ExitStack() as stack:
        run = open_run(job.run, order, job.trim_db, word, stack)
        made = [
            _written(job, word, _entry(order.songs[placed.place - 1], placed), (words for _, words in group))
            for placed, (_, group) in zip(run.run.songs, groupby(run.words(), itemgetter(0)), strict=True)
        ]
        sounds = tuple(_settled(one.sound, run, order.profile) for one in made)
        heard = tuple(_heard(one, run.songs[one.sound.place or 0]) for one in made)
    return Made(
        files=tuple(file for one in made for file in one.files),
        sounds=sounds,
        heard=heard,
    )


def version_words_file(job: VersionJob) -> Made:
    """The file of words of another version."""
    order, word = job.order, word_of(job.order.profile)
    ordered = order.songs[job.placed.place - 1]
    one = ordered_version(ordered, job.version)
    with ExitStack() as stack:
        run = open_version_run(job, word, stack)
        entry = replace(
            _entry(ordered, run.run.songs[0]),
            path=one.file_name,
            role="version",
            version=one.name,
            isrc=one.isrc,
            start_frame=0,
        )
        made = _written(job, word, entry, (words for _, words in run.words()))
        sound = _settled(made.sound, run, order.profile)
    return Made(files=made.files, sounds=(sound,))


@dataclass(frozen=True, slots=True)
class _Song:
    """One song's words: its files, and its entry as far as it is known before its container."""

    files: tuple[Document, ...]
    sound: SoundFile
    groove: GrooveFacts | None


def _written(job: Job, word: Word, entry: SoundFile, words: Iterable[Words]) -> _Song:
    order, sides = job.order, job.order.profile.sides
    ear = FileEar(order.rate_hz, order.channels, word)
    groove = None if sides is None else sides_meter(order.rate_hz, order.channels, sides)
    path, powers = words_path(entry.path), powers_path(entry.path)
    with write_sound(
        job.staging / path, order.rate_hz, order.channels, word.encoding, frames=entry.facts.frames
    ) as writer:
        for block in words:
            sound = ear.hear(block)
            if groove is not None:
                groove.add(sound)
            writer.write(block)
    write_bytes_whole(job.staging / powers, ear.powers().astype("<f8").tobytes())
    return _Song(
        (entry_of(job.staging, path, writer.sha256), entry_of(job.staging, powers)),
        replace(entry, facts=ear.facts("wav")),
        None if groove is None else groove.facts(),
    )


def _entry(ordered: OrderedSong, placed: Placed) -> SoundFile:
    """What is known of a song's file before it sounds: of its facts, the length."""
    return SoundFile(
        path=ordered.file_name,
        role="song",
        sha256="",
        bytes=0,
        facts=unheard(placed.cut.frames),
        place=placed.place,
        title=ordered.title,
        side=placed.side,
        isrc=ordered.isrc,
        start_frame=placed.cut.start,
        gap_frames=placed.tail_frames,
    )


def _settled(sound: SoundFile, run: OpenRun, profile: Profile) -> SoundFile:
    """The entry once all of the run has sounded: what holds its peaks, what was taken, what is to be seen."""
    song = run.songs[sound.place or 0]
    own, took = song.song.finish.limiter, song.took
    together = run.took.result()[run.run.places.index(sound.place or 0)]
    holds = run.limiter or own
    ceiling_dbtp = None if holds is None else holds.ceiling_dbtp
    if not profile.limiter:
        ceiling_dbtp = profile.ceiling_dbtp  # by the one trim of all
    peak_dbtp = sound.facts.true_peak_dbtp
    return replace(
        sound,
        took_max_db=None if holds is None else max(took.whole().max_db, together.max_db),
        ceiling_dbtp=ceiling_dbtp,
        warnings=(
            *_said(song, sound.version, peak_dbtp),
            *_together(run, together, frames_to_seconds(_start(run, sound), sound.facts.rate_hz)),
            *_over(profile, ceiling_dbtp, peak_dbtp),
            *_silent(sound, song),
        ),
    )


def _start(run: OpenRun, sound: SoundFile) -> int:
    """Where a file begins in its run."""
    placed = run.run.songs[run.run.places.index(sound.place or 0)]
    return placed.cut.start - run.run.span.start


def _together(run: OpenRun, took: Took, file_start_s: float) -> tuple[str, ...]:
    """What the limiter over the whole run takes, where that is more than it should."""
    if run.limiter is None or took.max_db <= run.limiter.most_db:
        return ()
    at = clock(took.max_at_s - file_start_s)
    return (
        "where it sounds with its neighbours or is cut, the limiter over them takes up to "
        f"{number(took.max_db)} dB (at {at} of the file), past its most_db of {number(run.limiter.most_db)}",
    )


def _silent(sound: SoundFile, song: OpenSong) -> tuple[str, ...]:
    """Of a file, or of a mix of which only dither is left in it."""
    mix_is_silent = song.mix is not None and song.mix.heard().sample_peak_dbfs is None
    is_silent = mix_is_silent or sound.facts.sample_peak_dbfs is None
    return ("there is no sound in it",) if is_silent else ()


def _said(song: OpenSong, version: str | None, peak_dbtp: float | None) -> tuple[str, ...]:
    peak, took = float("-inf") if peak_dbtp is None else peak_dbtp, song.took
    if song.guarded is not None:
        return version_warnings(version or "", song.guarded(), peak)
    sections = [SectionTook(one.mean_db, one.max_db, one.share, None) for one in took.result()]
    return print_warnings(song.song, sections, took.whole(), [None] * len(sections), (), peak)


def _over(profile: Profile, ceiling_dbtp: float | None, peak_dbtp: float | None) -> tuple[str, ...]:
    """A peak over the profile's ceiling where nothing holds it; past full scale, the print's own says it."""
    most_dbtp = profile.ceiling_dbtp
    if ceiling_dbtp is not None or most_dbtp is None or peak_dbtp is None:
        return ()
    if not most_dbtp + 0.01 < peak_dbtp <= 0.0:
        return ()
    return (
        f"true peak {number(peak_dbtp, 2)} dBTP is over the {number(most_dbtp)} dBTP of {profile.name}, and "
        "the finish has no limiter",
    )


def _heard(made: _Song, song: OpenSong) -> SongHeard:
    if song.mix is None:
        raise AssertionError("the songs of a run have an ear for their mix")
    return SongHeard(
        place=made.sound.place or 0,
        mix=song.mix.heard(),
        took=song.took.result(),
        whole=song.took.whole(),
        groove=made.groove,
    )
