"""Before a delivery: all that can be known to be wrong is said at once, before any long work."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path, PurePosixPath

from arsis.dsp.resample import resampled_frames
from arsis.plan.codec import parse_release
from arsis.plan.identifiers import plain_isrc
from arsis.plan.model import Release
from arsis.plan.profile import Profile
from arsis.plan.table import tables_at
from arsis.plan.text import read_text, toml_table

from . import record_rules as rules
from .file_names import song_file
from .file_rules import check_coders, check_names
from .gathering import Gathering, ReadDocument
from .known_profiles import KnownProfile, known_profile
from .order import (
    DELIVERIES,
    Order,
    OrderedSong,
    OrderedVersion,
    SoundUsed,
    song_for_delivery,
)
from .record_rules import FoundSong
from .release_picture import look_at_picture
from .room import bytes_needed, look_for_room
from .song_look import SongLook, look_at_song, look_at_sound


def prepare_order(
    folder: Path,
    profile_name: str,
    date: str,
    out: Path | None = None,
    bytes_there: int = 0,
    with_versions: bool = True,
) -> Order:
    """What a delivery of the release in `folder` is made from.

    date: of the delivery, put into its files. out: where it will be; `deliveries/PROFILE` when None.
    bytes_there: what of it is written already, when one that was stopped is gone on with.
    with_versions: false leaves them out, though the profile has them.
    Raises ArsisError with every fault of profile, release, plans, sound files and disk, one a line.
    """
    faults = Gathering()
    known = faults.tried(lambda: known_profile(profile_name, folder))
    document = _release_document(folder, faults)
    if document is None:
        faults.settle()
        raise AssertionError("a release that is not there is a fault")
    release = faults.tried(lambda: parse_release(document.toml.text, document.name))
    with_versions = with_versions and (known is None or known.profile.versions)
    looks = {
        place: look_at_song(folder, entry["plan"], with_versions, faults)
        for place, entry in tables_at(document.toml.table, "song")
        if isinstance(entry.get("plan"), str) and _leads_inside(entry["plan"])
    }
    target = out or folder / DELIVERIES / profile_name
    if release is None or known is None:
        look_for_room(target, 0, faults)
        faults.settle()
        raise AssertionError("what cannot be read is a fault")
    return _ordered(folder, target, date, known, release, document, looks, bytes_there, faults)


def _release_document(folder: Path, faults: Gathering) -> ReadDocument | None:
    path = folder / "release.toml"
    if not path.exists():
        allowed = "a release folder with its release.toml; `arsis start` makes one"
        faults.fault(path, "file", "nothing", allowed)
        return None
    name = str(path)
    toml = faults.tried(lambda: toml_table(read_text(name), name))
    return None if toml is None else ReadDocument(name, toml)


def _leads_inside(plan: str) -> bool:
    """Whether a plan is to be looked for at all; what is wrong with other paths the release's check says."""
    return not plan.startswith("/") and ".." not in PurePosixPath(plan).parts and plan != ""


def _ordered(
    folder: Path,
    target: Path,
    date: str,
    known: KnownProfile,
    release: Release,
    document: ReadDocument,
    looks: dict[int, SongLook | None],
    bytes_there: int,
    faults: Gathering,
) -> Order:
    profile = known.profile
    if not release.song:
        faults.at(document, ("song",), "nothing", "at least one [[song]]: there is nothing to deliver")
    placed, betweens = _placed(release, looks), _betweens(folder, release, document, faults)
    rate_hz = profile.rate_hz or release.rate_hz or (placed[0].mix.rate_hz if placed else 0)
    rules.check_versions(placed, document, faults)
    rules.check_alike(placed, release, profile, document, faults)
    artwork = None
    if release.artwork is not None:
        artwork = look_at_picture(folder, release.artwork, document, faults)
    order = Order(
        folder=folder.absolute(),
        target=target.absolute(),
        date=date,
        profile=profile,
        profile_text=known.text,
        release=release,
        release_text=document.toml.text,
        rate_hz=rate_hz,
        channels=profile.channels or (placed[0].mix.channels if placed else 0),
        songs=tuple(ordered_song(one, release, profile, rate_hz, betweens.get(one.place)) for one in placed),
        artwork=artwork,
        bytes=0,
    )
    check_names(order, document, faults)
    check_coders(order, faults)
    if len(placed) == len(release.song):  # else what is missing is the fault
        order = _check_record(order, placed, document, faults)
    look_for_room(target, max(0, order.bytes - bytes_there), faults)
    faults.settle()
    return replace(order, warnings=tuple(faults.warnings))


def _placed(release: Release, looks: dict[int, SongLook | None]) -> list[FoundSong]:
    """The songs that can be judged together."""
    placed = []
    for number, entry in enumerate(release.song):
        look = looks.get(number)
        if look is not None and look.mix is not None:
            placed.append(FoundSong(number + 1, entry, look, look.mix))
    return placed


def _betweens(
    folder: Path, release: Release, document: ReadDocument, faults: Gathering
) -> dict[int, SoundUsed]:
    """What is laid over the gaps, by the place of the song after it."""
    found = {}
    for number, entry in enumerate(release.song):
        if entry.between is not None:
            path = ("song", number, "between", "file")
            sound = look_at_sound(folder, entry.between.file, document, path, faults)
            if sound is not None:
                found[number + 1] = sound
    return found


def _check_record(order: Order, placed: list[FoundSong], document: ReadDocument, faults: Gathering) -> Order:
    """The order with the bytes that it takes, where all of its songs are there."""
    lacks = any(song.entry.between is not None and song.between is None for song in order.songs)
    record = None if lacks or not placed else rules.check_times(order, document, faults)
    if record is None:
        return order
    rules.check_medium(placed, record, order.profile, document, faults)
    rules.check_sides(placed, record, order.profile, document, faults)
    return replace(order, bytes=bytes_needed(order, record))


def ordered_song(
    one: FoundSong, release: Release, profile: Profile, rate_hz: int, between: SoundUsed | None
) -> OrderedSong:
    """A song of the record as it is delivered, from its plan and its place in the release."""
    song, entry, mix = one.look.song, one.entry, one.mix
    artist, isrc = entry.artist or release.artist, _plain(entry.isrc)
    return OrderedSong(
        place=one.place,
        stem=PurePosixPath(entry.plan).stem,
        plan=entry.plan,
        plan_text=one.look.plan.toml.text,
        song=song_for_delivery(song, entry, profile),
        entry=entry,
        title=song.title,
        artist=artist,
        isrc=isrc,
        mix=mix,
        printed=one.look.printed,
        between=between,
        versions=_versions(one, profile, artist, rate_hz),
        frames=resampled_frames(mix.frames, mix.rate_hz, rate_hz),
        file_name=song_file(profile, one.place, song.title, artist, isrc),
    )


def _versions(one: FoundSong, profile: Profile, artist: str, rate_hz: int) -> tuple[OrderedVersion, ...]:
    codes = {version.name: _plain(version.isrc) for version in one.entry.version}
    return tuple(
        OrderedVersion(
            name=version.name,
            isrc=codes.get(version.name),
            follow=version.follow,
            mix=mix,
            frames=resampled_frames(mix.frames, mix.rate_hz, rate_hz),
            file_name=song_file(
                profile, one.place, one.look.song.title, artist, codes.get(version.name), version.name
            ),
        )
        for version in one.look.song.version
        if (mix := one.look.version.get(version.name)) is not None
    )


def _plain(isrc: str | None) -> str | None:
    return None if isrc is None else plain_isrc(isrc)
