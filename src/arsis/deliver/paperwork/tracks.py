"""The record as rows: each song with its place on the time of its record or side, from the manifest alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from arsis.deliver.manifest import Manifest, SoundFile
from arsis.plan.model import Release


@dataclass(frozen=True, slots=True)
class Track:
    """A song's file on its side. start, length, gap: frames; the gap is the silence at the file's end, so
    that the next song starts at start + length + gap. artist: where it is another than the release's."""

    place: int
    title: str
    artist: str
    sound: SoundFile
    start: int
    length: int
    gap: int
    versions: tuple[SoundFile, ...]


@dataclass(frozen=True, slots=True)
class SideOfTracks:
    """The songs of a side, or of the whole record where it has none (then it has no name).

    assembly: the side as one file, where the delivery has one. rate_hz: of all frames here.
    """

    name: str
    rate_hz: int
    tracks: tuple[Track, ...]
    assembly: SoundFile | None

    @property
    def frames(self) -> int:
        """With the gaps between songs and the silence at the end of the last file."""
        return sum(track.length + track.gap for track in self.tracks)

    @property
    def music_frames(self) -> int:
        return sum(track.length for track in self.tracks)


def sides_of(manifest: Manifest, release: Release) -> tuple[SideOfTracks, ...]:
    """Every side with its songs in order; empty for a delivery without songs."""
    songs = sorted(_of_role(manifest, "song"), key=lambda sound: sound.place or 0)
    groups = [(name, tuple(sounds)) for name, sounds in groupby(songs, key=lambda sound: sound.side)]
    return tuple(_side(manifest, release, name, sounds) for name, sounds in groups)


def _side(manifest: Manifest, release: Release, name: str, sounds: Sequence[SoundFile]) -> SideOfTracks:
    first = sounds[0].start_frame
    places = tuple(sound.place for sound in sounds)
    whole = [one for one in _of_role(manifest, "assembly") if one.songs == places]
    tracks = tuple(_track(manifest, release, sound, first) for sound in sounds)
    return SideOfTracks(name, sounds[0].facts.rate_hz, tracks, whole[0] if whole else None)


def _track(manifest: Manifest, release: Release, sound: SoundFile, first: int) -> Track:
    place = sound.place or 0
    entry = release.song[place - 1] if place <= len(release.song) else None
    return Track(
        place=place,
        title=sound.title,
        artist=entry.artist if entry is not None else "",
        sound=sound,
        start=sound.start_frame - first,
        length=sound.facts.frames - sound.gap_frames,
        gap=sound.gap_frames,
        versions=tuple(one for one in _of_role(manifest, "version") if one.place == place),
    )


def _of_role(manifest: Manifest, role: str) -> list[SoundFile]:
    return [sound for sound in manifest.sounds if sound.role == role]
