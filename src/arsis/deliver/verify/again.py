"""What a delivery was made from, put together again from its own frozen copies."""

from __future__ import annotations

from pathlib import Path

from arsis.deliver.artwork import artwork_of
from arsis.deliver.gathering import ReadDocument
from arsis.deliver.order import ArtworkUsed, Order, SoundUsed
from arsis.deliver.preflight import ordered_song
from arsis.deliver.record_rules import FoundSong
from arsis.deliver.song_look import look_by
from arsis.errors import ArsisError
from arsis.io.digest import sha256_of
from arsis.plan.codec import parse_song
from arsis.plan.model import ReleaseSong
from arsis.plan.text import read_text, toml_table

from .delivery import Delivery
from .rules import PROFILE_COPY, RELEASE_COPY


def frozen_order(delivery: Delivery, folder: Path, artwork: ArtworkUsed | None = None) -> Order:
    """The order as it was: release, plans and profile as they were frozen, sound files as they were used.

    folder: of the release, which need not be there. Raises ArsisError where the frozen copies do not go
    together.
    """
    manifest, profile, release = delivery.manifest, delivery.profile, delivery.release
    if profile is None or release is None:
        raise ArsisError(f"its copy of {RELEASE_COPY if release is None else PROFILE_COPY} does not read")
    if not release.song or len(release.song) != len(manifest.plans):
        raise ArsisError("it has not one frozen plan for each song")
    channels = max((sound.facts.channels for sound in manifest.sounds), default=2)
    if channels not in (1, 2):
        raise ArsisError(f"the manifest gives a file {channels} channels")
    used = {
        mix.path: SoundUsed(
            path=mix.path, sha256=mix.sha256, frames=mix.frames, rate_hz=mix.rate_hz, channels=channels
        )
        for mix in manifest.mixes
    }
    found = [
        _found(delivery, place, entry, copy, used)
        for place, (entry, copy) in enumerate(zip(release.song, manifest.plans, strict=True), start=1)
    ]
    rate_hz = profile.rate_hz or release.rate_hz or found[0].mix.rate_hz
    songs = [
        ordered_song(
            one,
            release,
            profile,
            rate_hz,
            None if one.entry.between is None else _used(used, one.entry.between.file, RELEASE_COPY),
        )
        for one in found
    ]
    return Order(
        folder=folder.absolute(),
        target=delivery.folder.absolute(),
        date=manifest.date,
        profile=profile,
        profile_text=read_text(delivery.folder / PROFILE_COPY),
        release=release,
        release_text=read_text(delivery.folder / RELEASE_COPY),
        rate_hz=rate_hz,
        channels=channels,
        songs=tuple(songs),
        artwork=artwork,
        bytes=sum(one.bytes for one in delivery.listed),
    )


def _found(
    delivery: Delivery, place: int, entry: ReleaseSong, copy: str, used: dict[str, SoundUsed]
) -> FoundSong:
    text = read_text(delivery.folder / copy)
    song = parse_song(text, copy)
    document = ReadDocument(copy, toml_table(text, copy))
    look = look_by(document, song, _with_versions(delivery), lambda path, _: _used(used, path, copy))
    return FoundSong(place, entry, look, _used(used, song.mix, copy))


def _with_versions(delivery: Delivery) -> bool:
    """Whether the songs' versions were delivered too: it was begun with their names, or lists some."""
    manifest = delivery.manifest
    return bool(manifest.inputs.get("versions")) or any(one.role == "version" for one in manifest.sounds)


def _used(used: dict[str, SoundUsed], path: str, by: str) -> SoundUsed:
    if path not in used:
        raise ArsisError(f"{by} names {path}, which is not among the sounds that the manifest was made from")
    return used[path]


def lacking(delivery: Delivery, folder: Path) -> dict[str, str]:
    """By path, why a file that prints were made from cannot be used now."""
    found = {}
    for mix in delivery.manifest.mixes:
        if not (folder / mix.path).is_file():
            found[mix.path] = f"{mix.path} is not there"
        elif sha256_of(folder / mix.path) != mix.sha256:
            found[mix.path] = f"{mix.path} is another file than it was made from"
    return found


def artwork_now(delivery: Delivery, folder: Path) -> ArtworkUsed | None:
    """The picture that was put into the files; None where the release has none.

    Raises ArsisError where it is not there any more.
    """
    given = None if delivery.release is None else delivery.release.artwork
    if given is None:
        return None
    path = folder / given
    if not path.is_file():
        raise ArsisError(f"the artwork {given} is not there")
    picture = artwork_of(path.read_bytes(), given)
    if any(sound.tags.get("artwork", picture.shown) != picture.shown for sound in delivery.manifest.sounds):
        raise ArsisError(f"the artwork {given} is another picture than was delivered")
    return ArtworkUsed(
        path=given,
        sha256=sha256_of(path),
        bytes=path.stat().st_size,
        mime=picture.mime,
        width=picture.width,
        height=picture.height,
    )
