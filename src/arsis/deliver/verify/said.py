"""Do the manifest's tags, markers and places follow from the frozen plans and release?"""

from __future__ import annotations

from collections.abc import Iterator

from arsis.deliver.jobs import About
from arsis.deliver.laid import Placed, Record
from arsis.deliver.manifest import MANIFEST, SoundFile
from arsis.deliver.order import Order
from arsis.deliver.tags import one_line
from arsis.deliver.to_finish import RecordLevel, finish_job
from arsis.errors import ArsisError

from .again import frozen_order
from .delivery import Delivery
from .finding import Finding
from .rules import has_its_places
from .say import at, length
from .spacing import songs_of

# Read from files by their own names; the rest of the tags is of the program and of the meters.
_OF_DOCUMENTS = (
    "title",
    "artist",
    "album",
    "album_artist",
    "place",
    "total",
    "isrc",
    "gtin",
    "date",
    "version",
    "catalogue_number",
    "copyright",
)


def check_said(delivery: Delivery) -> Iterator[Finding]:
    """Nothing where the frozen copies were changed: that is told, and they are no measure any more."""
    manifest = delivery.manifest
    if not all(delivery.is_as_delivered(path) for path in ("release.toml", "profile.toml", *manifest.plans)):
        return
    try:
        order = frozen_order(delivery, delivery.folder)
        record = order.record
    except ArsisError as fault:
        what = f"the frozen documents do not go together: {str(fault).splitlines()[0]}"
        yield Finding(file=MANIFEST, check="manifest", what=what)
        return
    yield from _versions(delivery, order)
    songs = songs_of(delivery)
    for song in songs:
        if has_its_places(song, len(record.songs)):
            yield from _place(song, record.songs[(song.place or 0) - 1])
    about, level = About(delivery.folder, "", order), RecordLevel(manifest.record_lufs, None)
    for sound in manifest.sounds:
        if has_its_places(sound, len(record.songs)):
            yield from _tags(sound, songs, record, level, about)


def _versions(delivery: Delivery, order: Order) -> Iterator[Finding]:
    """What was begun with versions has all of them."""
    listed = {sound.path for sound in delivery.manifest.sounds}
    for version in (version for song in order.songs for version in song.versions):
        if version.file_name not in listed:
            yield Finding(
                file=MANIFEST,
                check="manifest",
                what="a version is not listed",
                expected=version.file_name,
                found="nothing",
            )


def _place(song: SoundFile, placed: Placed) -> Iterator[Finding]:
    """Where the song lies in the record, and the silence after it. Frames of a lossy file are its coder's."""
    rate_hz = song.facts.rate_hz
    if song.facts.bits is None:
        return
    pairs = (
        ("begins elsewhere than release.toml has it", placed.cut.start, song.start_frame, at),
        ("is of another length than release.toml makes it", placed.cut.frames, song.facts.frames, length),
        ("has another gap after it than release.toml", placed.tail_frames, song.gap_frames, length),
    )
    for what, expected, found, shown in pairs:
        if expected != found:
            yield Finding(
                file=song.path,
                check="spacing",
                what=what,
                expected=f"{shown(expected, rate_hz)} (frame {expected})",
                found=f"{shown(found, rate_hz)} (frame {found})",
            )


def _tags(
    sound: SoundFile, songs: list[SoundFile], record: Record, level: RecordLevel, about: About
) -> Iterator[Finding]:
    job = finish_job(sound, songs, record, level, about)
    expected = {name: text for name, text in job.tags.texts().items() if name in _OF_DOCUMENTS}
    if "markers" in sound.tags:
        expected["markers"] = "; ".join(f"{marker.frame} {one_line(marker.name)}" for marker in job.markers)
    for name in (*_OF_DOCUMENTS, "markers"):
        said, found = expected.get(name), sound.tags.get(name)
        if said != found:
            yield Finding(
                file=sound.path,
                check="tags",
                what=f"{name} is not what plan and release say",
                expected=said or "none",
                found=found or "none",
            )
