"""The pieces of work that a delivery is made of, as data that can be sent to another process.

A job says all that its result follows from; where and when it is done changes no byte.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from arsis.io.markers import Marker
from arsis.measure.groove import GrooveFacts
from arsis.render.took import Took

from .codec_check import CodecChecked
from .codec_ear import NamedSpan
from .manifest import Document, Manifest, SoundFile
from .order import Order
from .paperwork.extra import Extra, MixHeard
from .record import Placed, Run
from .tags import Tags

FILES, WORDS = "files", "words"  # in the staging folder: the delivery as it grows, and what it is made from


@dataclass(frozen=True, slots=True)
class About:
    """What all jobs of a delivery say alike. staging: the folder that it grows in. inputs: what it was begun
    with, as one digest. tools: versions that whoever does the job has to have; None where any will do."""

    staging: Path
    inputs: str
    order: Order
    tools: dict[str, str] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """key: of its record in the staging folder. frames: of the sound it handles, to say how far the work
    has come."""

    key: str
    about: About
    frames: int

    @property
    def order(self) -> Order:
        return self.about.order

    @property
    def staging(self) -> Path:
        return self.about.staging


@dataclass(frozen=True, slots=True, kw_only=True)
class RunJob(Job):
    """The words of songs that sound into each other, or of one song with silence round it.

    trim_db: level given to the whole release, before every limiter.
    """

    run: Run
    trim_db: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class VersionJob(Job):
    """The words of another version of a song, by itself."""

    placed: Placed
    version: str
    trim_db: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class FollowJob(Job):
    """Whether a version can be made at all: said before anything is rendered."""

    of: VersionJob


@dataclass(frozen=True, slots=True, kw_only=True)
class PeakJob(Job):
    """The true peak of what a job would render: what a release without limiters is turned down by."""

    of: RunJob | VersionJob


@dataclass(frozen=True, slots=True, kw_only=True)
class FinishJob(Job):
    """A file's container and tags around its words.

    parts: names of the files whose words it holds, one after another: itself, or all of an assembly.
    tags: with the record's gains; the file's own follow from its words. markers: places in the file.
    """

    sound: SoundFile
    parts: tuple[str, ...]
    tags: Tags
    markers: tuple[Marker, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CodecJob(Job):
    """What the profile's lossy coders do to a song's file. sections: in the file's time."""

    sound: SoundFile
    sections: tuple[NamedSpan, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperJob(Job):
    """The sheets. manifest: with all its sounds. extra: what it does not hold."""

    manifest: Manifest
    extra: Extra


@dataclass(frozen=True, slots=True, kw_only=True)
class SongHeard:
    """What is known of a song when its words are made. took: one a section. groove: where sides are cut."""

    place: int
    mix: MixHeard
    took: tuple[Took, ...]
    whole: Took
    groove: GrooveFacts | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """What a job made. files: all that it wrote, relative to the staging folder. documents: relative to the
    delivery. peaks_dbtp: true peaks."""

    files: tuple[Document, ...] = ()
    sounds: tuple[SoundFile, ...] = ()
    documents: tuple[Document, ...] = ()
    peaks_dbtp: tuple[float, ...] = ()
    heard: tuple[SongHeard, ...] = ()
    codecs: tuple[CodecChecked, ...] = ()


def words_path(file_name: str) -> str:
    """Where the words of a file wait for its container and its tags, relative to the staging folder."""
    return f"{WORDS}/{file_name.rpartition('.')[0]}.wav"


def powers_path(file_name: str) -> str:
    """Where the K-weighted powers of a file wait for the loudness of the record: float64, little-endian."""
    return f"{WORDS}/{file_name.rpartition('.')[0]}.powers"
