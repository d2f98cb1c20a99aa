"""What each job of a delivery makes: a function of the job and of the files it names, and of nothing else."""

from __future__ import annotations

from functools import singledispatch

from .finish_file import finish_file
from .jobs import CodecJob, FinishJob, FollowJob, Job, Made, PaperJob, PeakJob, RunJob, VersionJob
from .make_checks import codec_check, follow, paperwork, peak
from .make_words import run_words_files, version_words_file


@singledispatch
def make(job: Job) -> Made:
    """Does the job: its files are in the staging folder when this is done, each whole.

    Raises ArsisError where a file is at fault or the disk refuses.
    """
    raise TypeError(f"no such job: {type(job).__name__}")


@make.register
def _follow(job: FollowJob) -> Made:
    return follow(job)


@make.register
def _peak(job: PeakJob) -> Made:
    return peak(job)


@make.register
def _run(job: RunJob) -> Made:
    return run_words_files(job)


@make.register
def _version(job: VersionJob) -> Made:
    return version_words_file(job)


@make.register
def _finish(job: FinishJob) -> Made:
    return finish_file(job)


@make.register
def _codecs(job: CodecJob) -> Made:
    return codec_check(job)


@make.register
def _papers(job: PaperJob) -> Made:
    return paperwork(job)
