"""The jobs that make a delivery's words again, what each needs, and which files it makes."""

from __future__ import annotations

from collections.abc import Iterator

from arsis.deliver.jobs import About, RunJob, VersionJob
from arsis.deliver.manifest import SoundFile
from arsis.deliver.steps import words_jobs as all_words_jobs

from .delivery import Delivery

WordsJob = RunJob | VersionJob


def words_jobs(delivery: Delivery, about: About) -> tuple[WordsJob, ...]:
    """One for each run of the record and for each version that was delivered."""
    versions = {(one.place, one.version) for one in delivery.manifest.sounds if one.role == "version"}
    jobs = all_words_jobs(about, about.order.record, delivery.manifest.trim_db)
    return tuple(
        job for job in jobs if isinstance(job, RunJob) or (job.placed.place, job.version) in versions
    )


def needs_of(job: WordsJob) -> Iterator[str]:
    """The sound files that a job reads, relative to the release folder."""
    for place in _places(job):
        song = job.order.songs[place - 1]
        yield song.mix.path
        yield from (one.path for one in song.printed)
        if isinstance(job, RunJob) and song.between is not None:
            yield song.between.path
        if isinstance(job, VersionJob):
            yield from (one.mix.path for one in song.versions if one.name == job.version)


def makes(job: WordsJob, sound: SoundFile) -> bool:
    """Whether a file's words come of this job."""
    if sound.place not in _places(job):
        return False
    return sound.role == "song" if isinstance(job, RunJob) else sound.version == job.version


def _places(job: WordsJob) -> tuple[int, ...]:
    return job.run.places if isinstance(job, RunJob) else (job.placed.place,)
