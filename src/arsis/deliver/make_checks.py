"""What is found out of a delivery and said of it besides its sound: versions, peaks, codec checks, sheets."""

from __future__ import annotations

from contextlib import ExitStack
from dataclasses import replace

import numpy as np

from arsis.audio import Block, silence
from arsis.plan.codec import parse_song
from arsis.process.limiting import LimiterRunner
from arsis.render.words import Word
from arsis.settings import Limiter
from arsis.units import gain_to_db

from .codec_check import checks_for
from .jobs import FILES, WORDS, CodecJob, FollowJob, Made, PaperJob, PeakJob, RunJob, VersionJob, words_path
from .paperwork.write import write_paperwork
from .soundings import OpenRun, open_run
from .version_sound import open_version_run


def follow(job: FollowJob) -> Made:
    """Nothing; raises PlanError where the version cannot follow its song, or the plan does not fit it."""
    with ExitStack() as stack:
        _opened(job.of, stack)
    return Made()


def peak(job: PeakJob) -> Made:
    """The true peak of a job's files without any trim where it lies over the ceiling; else the ceiling.

    Of all of them together, as an assembly holds them, and of each by itself: where sound runs on over a cut,
    a file begins and ends in the middle of it, and a peak can come about there that the whole does not have.
    """
    order = job.order
    ceiling_dbtp = order.profile.ceiling_dbtp or 0.0

    def eye() -> _PeakEye:
        return _PeakEye(ceiling_dbtp, order.rate_hz, order.channels)

    with ExitStack() as stack:
        run = _opened(job.of, stack)
        each = {place: eye() for place in run.run.places}
        whole = [eye()] if len(each) > 1 else []
        for place, words in run.words():
            for one in (each[place], *whole):
                one.see(words.astype(np.float64, copy=False))
    lowest = min(one.lowest() for one in (*each.values(), *whole))
    return Made(peaks_dbtp=(ceiling_dbtp - gain_to_db(lowest),))


class _PeakEye:
    """How far a sound has to come down, by what a limiter would have to take.

    In floats, where nothing is clipped. A limiter's eye for peaks is the sharpest there is here, so that
    files hold the ceiling by meters of other shapes too (law 4).
    """

    def __init__(self, ceiling_dbtp: float, rate_hz: int, channels: int) -> None:
        self._limiter = LimiterRunner(Limiter(ceiling_dbtp=ceiling_dbtp), rate_hz, channels)
        self._rest = silence(channels, self._limiter.latency)
        self._lowest = 1.0

    def see(self, sound: Block) -> None:
        gain = self._limiter.process_with_gain(sound)[1]
        self._lowest = min(self._lowest, float(gain.min(initial=1.0)))

    def lowest(self) -> float:
        """The lowest gain, when all of the sound has been seen."""
        self.see(self._rest)
        return self._lowest


def _opened(job: RunJob | VersionJob, stack: ExitStack) -> OpenRun:
    word = Word(32, is_float=True)
    if isinstance(job, VersionJob):
        return open_version_run(job, word, stack)
    return open_run(job.run, job.order, 0.0, word, stack)


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
