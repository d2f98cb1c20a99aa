"""A delivery from its order to its manifest, as rounds of jobs: each round needs what the one before made."""

from __future__ import annotations

from collections.abc import Generator, Sequence
from dataclasses import replace
from os.path import relpath

import numpy as np

from arsis.dsp.resample import resampled_frames
from arsis.errors import ArsisError
from arsis.io.whole import refused, write_text_whole
from arsis.version import VERSION

from .gains import record_lufs
from .inputs import libraries
from .jobs import About, Job, Made, RunJob, powers_path
from .manifest import Document, Manifest, MixUsed, SoundFile
from .manifest_file import in_order, write_manifest
from .order import Order
from .record import Record, lay_out
from .staging import Begun, Staging, entry_of
from .to_finish import RecordLevel, assemblies_of, finish_job

Round = tuple[Job, ...]
Steps = Generator[Round, tuple[Made, ...], Manifest]


def record_of(order: Order) -> Record:
    """The order's songs on one time. Raises PlanError for what cannot be laid out."""
    betweens = {
        song.place: resampled_frames(song.between.frames, song.between.rate_hz, order.rate_hz)
        for song in order.songs
        if song.between is not None
    }
    return lay_out(
        order.release,
        [song.frames for song in order.songs],
        order.rate_hz,
        order.profile.cut_frames,
        betweens,
        by_side=order.profile.sides is not None,
    )


def steps(order: Order, staging: Staging, begun: Begun) -> Steps:
    """The rounds of a delivery. What each made is sent back in the order of its jobs; the manifest is what
    it ends with, and by then the delivery has its name.
    """
    record = record_of(order)
    about = About(staging.folder, begun.digest, order)
    runs = yield tuple(
        RunJob(key=f"words-{run.places[0]:02d}", frames=run.span.frames, run=run, about=about)
        for run in record.runs
    )
    songs = tuple(sound for made in runs for sound in made.sounds)
    level = _level_of(songs, staging)
    sounds = (*assemblies_of(order, record, songs), *songs)
    finished = yield tuple(finish_job(sound, songs, record, level, about) for sound in sounds)
    manifest = _manifest(order, begun, tuple(sound for made in finished for sound in made.sounds), level)
    whole = _written(manifest, order, staging)
    staging.deliver()
    return whole


def _level_of(songs: Sequence[SoundFile], staging: Staging) -> RecordLevel:
    """Of all songs together, each as its file holds it."""
    powers = [np.fromfile(staging.folder / powers_path(song.path), "<f8") for song in songs]
    peaks = [song.facts.true_peak_dbtp for song in songs if song.facts.true_peak_dbtp is not None]
    lufs = record_lufs(powers)
    return RecordLevel(lufs if np.isfinite(lufs) else None, max(peaks, default=None))


def _manifest(order: Order, begun: Begun, sounds: tuple[SoundFile, ...], level: RecordLevel) -> Manifest:
    return Manifest(
        arsis=VERSION,
        date=begun.date,
        title=order.release.title,
        artist=order.release.artist,
        gtin=order.release.gtin,
        profile=order.profile.name,
        release_path=relpath(order.folder, order.target),
        rate_hz=order.rate_hz,
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


def _written(manifest: Manifest, order: Order, staging: Staging) -> Manifest:
    """The frozen documents, what is printed about the delivery, and the manifest last."""
    documents = _frozen(order, staging)
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
