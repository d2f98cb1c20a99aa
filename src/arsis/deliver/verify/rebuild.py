"""Every file of a delivery made again from mix and frozen plan, by the code that delivers, and compared."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import wait
from contextlib import AbstractContextManager
from dataclasses import dataclass, field, fields, replace
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np

from arsis.deliver.codec_warnings import is_over_warning
from arsis.deliver.executors import Executor, in_line, processes
from arsis.deliver.gains import record_lufs
from arsis.deliver.inputs import inputs_of, libraries
from arsis.deliver.jobs import FILES, About, Job, Made, powers_path
from arsis.deliver.manifest import MANIFEST, SoundFile
from arsis.deliver.order import Order
from arsis.deliver.record import Record
from arsis.deliver.staging import Staging
from arsis.deliver.to_finish import RecordLevel, finish_job
from arsis.errors import ArsisError
from arsis.io.probe import probe
from arsis.render.progress import LOOKED_EVERY_S, Progress
from arsis.version import VERSION

from .again import artwork_now, frozen_order, lacking
from .delivery import Delivery
from .finding import Finding
from .rules import PROFILE_COPY, RELEASE_COPY, has_its_places, has_its_songs
from .unlike import unlike
from .words_jobs import WordsJob, makes, needs_of, words_jobs


@dataclass(frozen=True, slots=True)
class NotRebuilt:
    """A file that could not be made again, and why: no fault of the delivery."""

    file: str
    why: str


@dataclass(slots=True)
class Rebuilt:
    """same: files that came out with the bytes they have in the delivery."""

    same: list[str] = field(default_factory=list)
    not_rebuilt: list[NotRebuilt] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)


def rebuild(delivery: Delivery, folder: Path, jobs: int, progress: Progress) -> Rebuilt:
    """Makes again what can be made, in a folder of its own that is removed again. folder: the release's."""
    done = Rebuilt()
    try:
        _check_copies(delivery)
        order = frozen_order(delivery, folder, artwork_now(delivery, folder))
        pool: AbstractContextManager[Executor] = processes(jobs) if jobs > 1 else in_line()
        done.findings += _inputs(delivery, order)
        gone = lacking(delivery, folder)
        misread = list(_mixes(delivery, folder, gone))
        if misread:
            done.findings += misread
            raise ArsisError(f"{MANIFEST} says of its mixes what they are not")
        with TemporaryDirectory(prefix="arsis-verify-") as temporary, pool as executor:
            staging = Staging(Path(temporary), delivery.folder)
            staging.make_folders()
            again = _Again(delivery, About(staging.folder, "", order), order.record, executor, done)
            again.run(gone, progress)
    except ArsisError as fault:
        told = {*done.same, *(one.file for one in done.not_rebuilt), *(one.file for one in done.findings)}
        rest = [sound for sound in delivery.manifest.sounds if sound.path not in told]
        _give_up(done, rest, str(fault).splitlines()[0])
    return done


def _check_copies(delivery: Delivery) -> None:
    for path in (RELEASE_COPY, PROFILE_COPY, *delivery.manifest.plans):
        if not delivery.is_as_delivered(path):
            raise ArsisError(f"{path} is not the copy that was delivered")
    for sound in delivery.manifest.sounds:
        if not has_its_places(sound, len(delivery.manifest.plans)):
            raise ArsisError(f"the manifest gives {sound.path} places that the record does not have")
    if not has_its_songs(delivery.manifest):
        raise ArsisError("the manifest does not list one song for each plan")


def _give_up(done: Rebuilt, sounds: Sequence[SoundFile], why: str) -> None:
    done.not_rebuilt += [NotRebuilt(sound.path, why) for sound in sounds]


@dataclass(frozen=True, slots=True)
class _Again:
    delivery: Delivery
    about: About
    record: Record
    executor: Executor
    done: Rebuilt

    def run(self, lacking: dict[str, str], progress: Progress) -> None:
        """Words first, then containers and tags round them, then the comparison."""
        sounds = self.delivery.manifest.sounds
        jobs = words_jobs(self.delivery, self.about)
        made = self._made([job for job in jobs if self._can(job, lacking)], progress)
        again = {sound.path: sound for one in made for sound in one.sounds}
        # A song that could not be made is known by its entry: continuous files want its place, not its words.
        songs = [again.get(sound.path, sound) for sound in sounds if sound.role == "song"]
        level = self._level(songs, len([song for song in songs if song.path in again]))
        ready = [sound for sound in sounds if level is not None and self._parts(sound) <= again.keys()]
        finish = [
            finish_job(again.get(one.path, one), songs, self.record, level, self.about)
            for one in ready
            if level is not None
        ]
        for sound, finished in zip(ready, self._made(finish, progress), strict=True):
            self._compare(sound, finished.sounds[0])
        told = {*(one.path for one in ready), *(one.file for one in self.done.not_rebuilt)}
        rest = [sound for sound in sounds if sound.path not in told]
        _give_up(self.done, rest, "it wants songs of the record that could not be made again")

    def _can(self, job: WordsJob, lacking: dict[str, str]) -> bool:
        """Whether nothing that the job needs is lacking; else its files are told with the reason."""
        why = next((lacking[path] for path in needs_of(job) if path in lacking), None)
        if why is not None:
            files = [sound for sound in self.delivery.manifest.sounds if makes(job, sound)]
            _give_up(self.done, files, why)
        return why is None

    def _parts(self, sound: SoundFile) -> set[str]:
        """The files whose words a file holds."""
        if sound.role != "assembly":
            return {sound.path}
        songs = (one for one in self.delivery.manifest.sounds if one.role == "song")
        return {song.path for song in songs if song.place in sound.songs}

    def _level(self, songs: Sequence[SoundFile], made: int) -> RecordLevel | None:
        """Of the whole record: from the words where all are there, else from the manifest."""
        manifest = self.delivery.manifest
        if made == len(songs):
            powers = [np.fromfile(self.about.staging / powers_path(song.path), "<f8") for song in songs]
            measured = record_lufs(powers)
            lufs = measured if np.isfinite(measured) else None
        elif any(song.facts.bits is None for song in songs):
            return None
        else:
            lufs = manifest.record_lufs
        peaks = [song.facts.true_peak_dbtp for song in songs if song.facts.true_peak_dbtp is not None]
        return RecordLevel(lufs, max(peaks, default=None))

    def _made(self, jobs: Sequence[Job], progress: Progress) -> list[Made]:
        """What became of each job, in the jobs' order. Raises ArsisError where one cannot be done."""
        total = sum(job.frames for job in jobs)
        made, heard = [], 0
        for job, future in [(job, self.executor.submit(job)) for job in jobs]:
            while not wait([future], LOOKED_EVERY_S).done:
                progress(heard, total)
            outcome = future.result()
            heard += job.frames
            progress(heard, total)
            if outcome.made is None:
                raise ArsisError(outcome.fault)
            made.append(outcome.made)
        return made

    def _compare_entries(self, sound: SoundFile, again: SoundFile) -> None:
        """The same bytes, so the same entry in the manifest, unless meters are of another version."""
        if _other_versions(self.delivery):
            return
        checks = () if self.delivery.profile is None else self.delivery.profile.codec
        # Coders that a file was only tried with are not tried again: what was said of them stands as it is.
        own = tuple(said for said in sound.warnings if not is_over_warning(said, checks))
        sound = replace(sound, warnings=own)
        for one in fields(SoundFile):
            expected, found = getattr(again, one.name), getattr(sound, one.name)
            if expected != found and one.name not in ("facts", "tags"):  # which have checks of their own
                self.done.findings.append(
                    Finding(
                        file=sound.path,
                        check="manifest",
                        what=f"{one.name} in the manifest is not what making the file again gives",
                        expected=_said(expected),
                        found=_said(found),
                    )
                )

    def _compare(self, sound: SoundFile, again: SoundFile) -> None:
        on_disk = self.delivery.files.get(sound.path)
        if on_disk is None or not on_disk.sha256:
            return  # told as missing, or as what cannot be read
        if on_disk.sha256 == again.sha256:
            self.done.same.append(sound.path)
            if on_disk.sha256 == sound.sha256:
                self._compare_entries(sound, again)
            return
        path = self.about.staging / FILES / again.path
        what = unlike(self.delivery.folder / sound.path, path)
        other = _other_versions(self.delivery)
        if other and on_disk.sha256 == sound.sha256:
            why = f"made again by {other} it differs: {what}"
            self.done.not_rebuilt.append(NotRebuilt(sound.path, why))
            return
        head = "not what mix and plan make: " if on_disk.sha256 == sound.sha256 else ""
        self.done.findings.append(Finding(file=sound.path, check="rebuild", what=head + what))


def _said(value: object) -> str:
    """What a manifest says, as it is read there."""
    if isinstance(value, tuple):
        return "; ".join(str(one) for one in value) or "nothing"
    return "nothing" if value is None else str(value)


def _inputs(delivery: Delivery, order: Order) -> list[Finding]:
    """What the manifest says it was begun with, against the frozen copies and the rest of it."""
    said = delivery.manifest.inputs
    return [
        Finding(file=MANIFEST, check="manifest", what=f"input {name}", expected=digest, found=said.get(name))
        for name, digest in inputs_of(order).items()
        if said.get(name) != digest and name not in ("arsis", "versions") and not name.startswith("library ")
    ]


def _mixes(delivery: Delivery, folder: Path, gone: Mapping[str, str]) -> Iterator[Finding]:
    """What the manifest says of the mixes that are there, against the files: the record is laid out by it."""
    for mix in delivery.manifest.mixes:
        info = None if mix.path in gone else probe(folder / mix.path)
        if info is not None and (info.rate_hz, info.frames) != (mix.rate_hz, mix.frames):
            yield Finding(
                file=MANIFEST,
                check="manifest",
                what=f"{mix.path} has another rate or length",
                expected=f"{info.frames} frames at {info.rate_hz} Hz",
                found=f"{mix.frames} frames at {mix.rate_hz} Hz",
            )


def _other_versions(delivery: Delivery) -> str:
    """What makes sound here that is not of the version that made the delivery; empty where all is."""
    here = {"arsis": VERSION} | libraries()
    then = {"arsis": delivery.manifest.arsis} | delivery.manifest.libraries
    other = [
        f"{name} {here.get(name, 'that is not there')}, not {version}"
        for name, version in then.items()
        if here.get(name) != version
    ]
    return "; ".join(other)
