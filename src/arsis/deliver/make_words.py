"""Runs and versions as words on the disk: plain WAV in the staging folder, metered, without tags."""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import ExitStack
from dataclasses import replace
from itertools import groupby
from operator import itemgetter

from arsis.io.whole import write_bytes_whole
from arsis.io.write import write_sound
from arsis.render.ear import SectionTook
from arsis.render.took import Took
from arsis.render.words import Word, Words
from arsis.report.facts import print_warnings

from .hearing import FileEar
from .jobs import Job, Made, RunJob, powers_path, words_path
from .manifest import Document, SoundFile
from .record import Placed
from .record_sound import RunWay, run_limiter, run_words
from .soundings import OpenSong, open_gap, open_song, word_of
from .staging import entry_of


def run_words_files(job: RunJob) -> Made:
    """A file of words for each song of a run."""
    order, word = job.order, word_of(job.order.profile)
    with ExitStack() as stack:
        opened = {
            place: open_song(order.songs[place - 1], job.trim_db, order.folder, word, order.rate_hz, stack)
            for place in job.run.places
        }
        gaps = {
            place: open_gap(order.songs[place - 1], order.folder, word, order.rate_hz, order.channels, stack)
            for place in job.run.places[1:]
        }
        betweens = {place: gap for place, gap in gaps.items() if gap is not None}
        limiter = run_limiter([one.song.finish.limiter for one in opened.values()])
        first = opened[job.run.places[0]]
        way = RunWay(word, order.rate_hz, order.channels, first.seed, first.song.finish.dither, limiter)
        stream = run_words(job.run, {place: one.sounding for place, one in opened.items()}, way, betweens)
        made = [
            _written(job, word, placed, opened[placed.place], (words for _, words in group))
            for placed, (_, group) in zip(job.run.songs, groupby(stream, itemgetter(0)), strict=True)
        ]
        ceiling_dbtp = None if limiter is None else limiter.ceiling_dbtp
    return Made(
        files=tuple(file for files, _ in made for file in files),
        sounds=tuple(_settled(sound, opened, len(job.run.songs), ceiling_dbtp) for _, sound in made),
    )


def _written(
    job: Job, word: Word, placed: Placed, song: OpenSong, words: Iterable[Words]
) -> tuple[tuple[Document, ...], SoundFile]:
    """One song's words, and its entry as far as it is known before its container."""
    order = job.order
    ordered = order.songs[placed.place - 1]
    ear = FileEar(order.rate_hz, order.channels, word)
    path = words_path(ordered.file_name)
    with write_sound(
        job.staging / path, order.rate_hz, order.channels, word.encoding, frames=placed.cut.frames
    ) as writer:
        for block in words:
            ear.hear(block)
            writer.write(block)
    powers = powers_path(ordered.file_name)
    write_bytes_whole(job.staging / powers, ear.powers().astype("<f8").tobytes())
    sound = SoundFile(
        path=ordered.file_name,
        role="song",
        sha256="",
        bytes=0,
        facts=ear.facts("wav"),
        place=placed.place,
        title=ordered.title,
        side=placed.side,
        isrc=ordered.isrc,
        start_frame=placed.cut.start,
        gap_frames=placed.tail_frames,
    )
    return (entry_of(job.staging, path, writer.sha256), entry_of(job.staging, powers)), sound


def _settled(
    sound: SoundFile, opened: dict[int, OpenSong], in_run: int, run_ceiling_dbtp: float | None
) -> SoundFile:
    """The entry once all of the run has sounded: what limiters took, and what has to be seen."""
    assert sound.place is not None
    song = opened[sound.place]
    took, limiter = song.took.whole(), song.song.finish.limiter
    own_dbtp = None if limiter is None else limiter.ceiling_dbtp
    return replace(
        sound,
        took_max_db=None if limiter is None else took.max_db,
        ceiling_dbtp=own_dbtp if in_run == 1 else run_ceiling_dbtp,
        warnings=_warnings(song, took, sound.facts.true_peak_dbtp),
    )


def _warnings(song: OpenSong, took: Took, true_peak_dbtp: float | None) -> tuple[str, ...]:
    whole = [SectionTook(took.mean_db, took.max_db, took.share, None)] * len(song.song.section)
    nothing = [None] * len(whole)
    peak_dbtp = float("-inf") if true_peak_dbtp is None else true_peak_dbtp
    return print_warnings(song.song, whole, took, nothing, (), peak_dbtp)
