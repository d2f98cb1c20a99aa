"""A delivery from its order to its manifest, as rounds of jobs: each round needs what the one before made."""

from __future__ import annotations

from collections.abc import Generator, Iterable, Sequence
from dataclasses import replace
from os.path import relpath

import numpy as np

from arsis.errors import ArsisError
from arsis.io.whole import refused, write_text_whole
from arsis.version import VERSION

from .codec_check import CodecChecked
from .codec_warnings import over_warnings
from .gains import record_lufs
from .inputs import libraries, tools
from .jobs import About, FollowJob, Job, Made, PaperJob, PeakJob, RunJob, SongHeard, VersionJob, powers_path
from .knowledge import extra_of
from .loudness_advice import fit_trim_db
from .manifest import Document, Manifest, MixUsed, SoundFile
from .manifest_file import in_order, write_manifest
from .order import Order
from .record import Record
from .staging import Begun, Staging, entry_of
from .to_finish import RecordLevel, assemblies_of, codec_job, finish_job

Round = tuple[Job, ...]
Steps = Generator[Round, tuple[Made, ...], Manifest]


def steps(order: Order, staging: Staging, begun: Begun) -> Steps:
    """The rounds of a delivery. What each made is sent back in the order of its jobs; the manifest is what
    it ends with, and by then the delivery has its name.
    """
    record = order.record
    about = About(staging.folder, begun.digest, order, tools())
    yield _followers(about, record)
    trim_db = _trim_db(order, (yield _peaks(about, record)))
    made = yield words_jobs(about, record, trim_db)
    files, heard = _all_sounds(made), [one for job in made for one in job.heard]
    songs = [file for file in files if file.role == "song"]  # what the record is made of; versions are not
    level = _level_of(songs, staging)
    sounds = (*assemblies_of(order, record, songs), *files)
    checked = songs if order.profile.codec else []
    done = yield (
        *(finish_job(sound, songs, record, level, about) for sound in sounds),
        *(codec_job(song, record, about) for song in checked),
    )
    codecs = {song.place: made.codecs for song, made in zip(checked, done[len(sounds) :], strict=True)}
    finished = tuple(_with_codecs(sound, codecs) for sound in _all_sounds(done))
    manifest = _manifest(order, begun, finished, level, trim_db)
    papers = yield (_papers(manifest, about, begun, record, heard, codecs),)
    whole = _written(manifest, papers[0].documents, order, staging)
    staging.deliver()
    return whole


def _followers(about: About, record: Record) -> Round:
    """What cannot follow has to be known before any song is rendered."""
    return tuple(
        FollowJob(key=job.key.replace("words", "follow"), frames=0, of=job, about=about)
        for job in words_jobs(about, record, 0.0)
        if isinstance(job, VersionJob)
    )


def _peaks(about: About, record: Record) -> Round:
    """What has to be known before a release is turned down as one; nothing where limiters hold it."""
    profile = about.order.profile
    if profile.limiter or profile.ceiling_dbtp is None:
        return ()
    return tuple(
        PeakJob(key=job.key.replace("words", "peak"), frames=job.frames, of=job, about=about)
        for job in words_jobs(about, record, 0.0)
    )


def _trim_db(order: Order, made: Iterable[Made]) -> float:
    peaks = [peak for one in made for peak in one.peaks_dbtp]
    return fit_trim_db(peaks, order.profile.ceiling_dbtp or 0.0) if peaks else 0.0


def words_jobs(about: About, record: Record, trim_db: float) -> tuple[RunJob | VersionJob, ...]:
    """One for each run of the record and for each version of its songs."""
    runs = (
        RunJob(
            key=f"words-{run.places[0]:02d}", frames=run.span.frames, run=run, trim_db=trim_db, about=about
        )
        for run in record.runs
    )
    versions = (
        VersionJob(
            key=f"words-{song.place:02d}-version-{number}",
            frames=version.frames,
            placed=record.songs[song.place - 1],
            version=version.name,
            trim_db=trim_db,
            about=about,
        )
        for song in about.order.songs
        for number, version in enumerate(song.versions, start=1)
    )
    return (*runs, *versions)


def _all_sounds(made: Iterable[Made]) -> tuple[SoundFile, ...]:
    return tuple(sound for one in made for sound in one.sounds)


def _level_of(songs: Sequence[SoundFile], staging: Staging) -> RecordLevel:
    """Of all songs together, each as its file holds it."""
    powers = [np.fromfile(staging.folder / powers_path(song.path), "<f8") for song in songs]
    peaks = [song.facts.true_peak_dbtp for song in songs if song.facts.true_peak_dbtp is not None]
    lufs = record_lufs(powers)
    return RecordLevel(lufs if np.isfinite(lufs) else None, max(peaks, default=None))


def _with_codecs(sound: SoundFile, codecs: dict[int | None, tuple[CodecChecked, ...]]) -> SoundFile:
    if sound.role != "song":
        return sound
    return replace(sound, warnings=(*sound.warnings, *over_warnings(codecs.get(sound.place, ()))))


def _manifest(
    order: Order, begun: Begun, sounds: tuple[SoundFile, ...], level: RecordLevel, trim_db: float
) -> Manifest:
    return Manifest(
        arsis=VERSION,
        date=begun.date,
        title=order.release.title,
        artist=order.release.artist,
        gtin=order.release.gtin,
        profile=order.profile.name,
        release_path=relpath(order.folder, order.target),
        rate_hz=order.rate_hz,
        trim_db=trim_db,
        record_lufs=level.lufs,
        plans=tuple(song.plan_copy for song in order.songs),
        mixes=tuple(
            MixUsed(path=one.path, sha256=one.sha256, frames=one.frames, rate_hz=one.rate_hz)
            for one in order.mixes
        ),
        sounds=sounds,
        libraries=libraries(),
        inputs=begun.inputs,
    )


def _papers(
    manifest: Manifest,
    about: About,
    begun: Begun,
    record: Record,
    heard: Sequence[SongHeard],
    codecs: dict[int | None, tuple[CodecChecked, ...]],
) -> PaperJob:
    extra = extra_of(about.order, manifest, record, heard, codecs, begun.kept)
    return PaperJob(key="paperwork", frames=0, manifest=in_order(manifest), extra=extra, about=about)


def _written(manifest: Manifest, papers: tuple[Document, ...], order: Order, staging: Staging) -> Manifest:
    """The frozen documents, and the manifest last."""
    documents = (*_frozen(order, staging), *papers)
    staging.clear_parts({s.path for s in manifest.sounds} | {d.path for d in documents})
    whole = in_order(replace(manifest, documents=documents))
    write_manifest(staging.files, whole)
    return whole


def _frozen(order: Order, staging: Staging) -> tuple[Document, ...]:
    texts = {"release.toml": order.release_text, "profile.toml": order.profile_text}
    texts |= {song.plan_copy: song.plan_text for song in order.songs}
    try:
        (staging.files / "plans").mkdir(exist_ok=True)
    except OSError as fault:
        raise refused(staging.files / "plans", fault, ArsisError) from fault
    for path, text in texts.items():
        write_text_whole(staging.files / path, text)
    return tuple(entry_of(staging.files, path) for path in texts)
