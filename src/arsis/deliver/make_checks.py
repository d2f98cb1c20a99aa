"""What is made of a delivery besides its sound: codec checks and sheets."""

from __future__ import annotations

from dataclasses import replace

from arsis.plan.codec import parse_song

from .codec_check import checks_for
from .jobs import FILES, WORDS, CodecJob, Made, PaperJob, words_path
from .paperwork.write import write_paperwork


def codec_check(job: CodecJob) -> Made:
    """What lossy coders do to a song's words. What they write lies in the staging folder meanwhile."""
    path = job.staging / words_path(job.sound.path)
    return Made(codecs=checks_for(job.order.profile, path, job.sections, job.staging / WORDS))


def paperwork(job: PaperJob) -> Made:
    """The sheets of the delivery, from its frozen plans."""
    order = job.order
    plans = [parse_song(song.plan_text, song.plan_copy) for song in order.songs]
    folder = job.staging / FILES
    documents = write_paperwork(folder, job.manifest, plans, order.release, order.profile, job.extra)
    files = tuple(replace(one, path=f"{FILES}/{one.path}") for one in documents)
    return Made(files=files, documents=documents)
