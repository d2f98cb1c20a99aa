"""The jobs that make files of words: what each file is tagged with, and what is marked in it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from arsis.io.digest import sha256_of
from arsis.io.markers import Marker
from arsis.units import seconds_to_frames

from .artwork import Artwork, artwork_of
from .codec_ear import NamedSpan
from .file_names import assembly_file
from .gains import Gains
from .jobs import About, CodecJob, FinishJob
from .manifest import SoundFile
from .order import Order
from .record import Placed, Record, alone
from .soundings import changed
from .tags import Tags


@dataclass(frozen=True, slots=True)
class RecordLevel:
    """Of all songs together; None where there is no such value."""

    lufs: float | None
    true_peak_dbtp: float | None


def assemblies_of(order: Order, record: Record, songs: Sequence[SoundFile]) -> tuple[SoundFile, ...]:
    """The continuous files that the profile asks for: one a side, or one of the whole record."""
    if not order.profile.assembly:
        return ()
    rows = [("", tuple(song.place for song in record.songs))]
    if order.profile.sides is not None:
        rows = [(side.name, side.places) for side in record.sides]
    return tuple(_assembly(order, name, [s for s in songs if s.place in places]) for name, places in rows)


def _assembly(order: Order, side: str, songs: Sequence[SoundFile]) -> SoundFile:
    title = order.release.title
    ceilings = [song.ceiling_dbtp for song in songs]
    held = [ceiling for ceiling in ceilings if ceiling is not None]
    return SoundFile(
        path=assembly_file(order.profile, title, side),
        role="assembly",
        sha256="",
        bytes=0,
        # Nothing is known yet but the form and the length: it is measured when it is written.
        facts=replace(songs[0].facts, frames=sum(song.facts.frames for song in songs)),
        songs=tuple(song.place for song in songs if song.place is not None),
        title=f"{title} side {side}" if side else title,
        side=side,
        start_frame=songs[0].start_frame,
        ceiling_dbtp=max(held) if len(held) == len(ceilings) else None,
    )


def finish_job(
    sound: SoundFile, songs: Sequence[SoundFile], record: Record, level: RecordLevel, about: About
) -> FinishJob:
    """The job that makes the file of a sound."""
    order = about.order
    parts = (sound,) if sound.place is not None else tuple(s for s in songs if s.place in sound.songs)
    if sound.role == "assembly":
        markers = tuple(
            Marker(record.songs[place - 1].song.start - sound.start_frame, order.songs[place - 1].title)
            for place in sound.songs
        )
    else:
        markers = _marks(order, sound, record)
    return FinishJob(
        key="file-" + key_of(sound),
        frames=sound.facts.frames,
        sound=sound,
        parts=tuple(part.path for part in parts),
        tags=_tags(order, sound, level),
        markers=markers,
        about=about,
    )


def codec_job(sound: SoundFile, record: Record, about: About) -> CodecJob:
    """The job that takes a song through the profile's coders."""
    rate_hz = about.order.rate_hz
    markers = _sections(about.order, record.songs[(sound.place or 0) - 1])
    return CodecJob(
        key="codecs-" + key_of(sound),
        frames=sound.facts.frames,
        sound=sound,
        sections=tuple(
            NamedSpan(one.name, one.frame / rate_hz, (one.frame + one.frames) / rate_hz) for one in markers
        ),
        about=about,
    )


def key_of(sound: SoundFile) -> str:
    """A name for records, of letters that every file system takes: the file's own name is fit."""
    return sound.path.rpartition(".")[0]


def _marks(order: Order, sound: SoundFile, record: Record) -> tuple[Marker, ...]:
    """Sections of a song or of a version that has them where its song has them."""
    if sound.place is None:
        return ()
    ordered, placed = order.songs[sound.place - 1], record.songs[sound.place - 1]
    if sound.version is None:
        return _sections(order, placed)
    follows = any(one.follow for one in ordered.versions if one.name == sound.version)
    return _sections(order, alone(placed).songs[0]) if follows else ()


def _sections(order: Order, placed: Placed) -> tuple[Marker, ...]:
    """Where the song's sections begin in its file; what a trim has cut off is left out."""
    song = order.songs[placed.place - 1].song
    shift = placed.song.start - placed.cut.start - placed.song.used.start
    starts = [seconds_to_frames(section.start_s, order.rate_hz) for section in song.section]
    ends = [*starts[1:], placed.song.used.end]
    markers = []
    for section, start, end in zip(song.section, starts, ends, strict=True):
        begin, stop = max(start, placed.song.used.start), min(end, placed.song.used.end)
        if begin < stop:
            markers.append(Marker(max(0, begin + shift), section.name, stop - begin))
    return tuple(markers)


def _tags(order: Order, sound: SoundFile, level: RecordLevel) -> Tags:
    release = order.release
    ordered = order.songs[sound.place - 1] if sound.place is not None else None
    album = sound.role != "version"  # a version is not on the record: what it is played among is not known
    return Tags(
        title=sound.title,
        artist=ordered.artist if ordered else release.artist,
        album=release.title,
        album_artist=release.artist,
        place=sound.place,
        total=len(order.songs) if sound.place is not None else None,
        isrc=sound.isrc,
        gtin=release.gtin,
        date=release.date,
        made=order.date,
        version=sound.version or "",
        catalogue_number=release.catalogue_number,
        copyright=release.copyright,
        artwork=_artwork(order),
        gains=Gains(
            album_lufs=level.lufs if album else None,
            album_peak_dbtp=level.true_peak_dbtp if album else None,
        ),
    )


def _artwork(order: Order) -> Artwork | None:
    """The release's picture. Raises ArsisError where it is another than when it was ordered."""
    if order.artwork is None:
        return None
    path = order.folder / order.artwork.path
    if sha256_of(path) != order.artwork.sha256:
        raise changed(path)
    return artwork_of(path.read_bytes(), str(path))
