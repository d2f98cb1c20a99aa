"""What a delivery is made from, read and checked once: frozen, and fit to be sent to another process."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from arsis.dsp.resample import resampled_frames
from arsis.plan.model import Finish, Release, ReleaseSong, Song
from arsis.plan.profile import Profile

from . import coding
from .record import Record, lay_out

DELIVERIES = "deliveries"  # inside a release
# The end of a file's name by the profile's container.
ENDS = {"wav": ".wav", "flac": ".flac"} | {str(codec): end for codec, end in coding.ENDS.items()}


@dataclass(frozen=True, slots=True, kw_only=True)
class SoundUsed:
    """A file that prints are made from. path: relative to the release folder, as the document has it."""

    path: str
    sha256: str
    frames: int
    rate_hz: int
    channels: int

    @property
    def duration_s(self) -> float:
        return self.frames / self.rate_hz


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderedVersion:
    """Another version of a song. frames: of its print at the delivered rate. file_name: with its end."""

    name: str
    isrc: str | None
    follow: bool
    mix: SoundUsed
    frames: int
    file_name: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderedSong:
    """A song of the record.

    place: from 1. stem: of its plan. plan_text: as it was read, comments and all.
    song: as it is delivered: trim, ceiling, limiter and dither are the profile's where it has a say.
    entry: its place in the release. frames: of its whole print at the delivered rate, uncut.
    file_name: with its end. isrc: without hyphens. printed: passes printed elsewhere that it and
    its versions use.
    """

    place: int
    stem: str
    plan: str
    plan_text: str
    song: Song
    entry: ReleaseSong
    title: str
    artist: str
    isrc: str | None
    mix: SoundUsed
    printed: tuple[SoundUsed, ...] = ()
    between: SoundUsed | None = None
    versions: tuple[OrderedVersion, ...] = ()
    frames: int
    file_name: str

    @property
    def plan_copy(self) -> str:
        """The frozen plan's place in the delivery."""
        return f"plans/{self.place:02d}-{self.stem}.toml"


@dataclass(frozen=True, slots=True, kw_only=True)
class ArtworkUsed:
    """The picture. path: relative to the release folder. mime: image/jpeg or image/png."""

    path: str
    sha256: str
    bytes: int
    mime: str
    width: int
    height: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """A delivery that can be made. folder: of the release; target: where the delivery will be.

    rate_hz, channels: of every file. date: of the delivery. bytes: what it will take on the disk, about.
    """

    folder: Path
    target: Path
    date: str
    profile: Profile
    profile_text: str
    release: Release
    release_text: str
    rate_hz: int
    channels: int
    songs: tuple[OrderedSong, ...]
    artwork: ArtworkUsed | None
    bytes: int
    warnings: tuple[str, ...] = ()

    @property
    def end(self) -> str:
        """Of every sound file's name."""
        return ENDS[self.profile.container]

    @property
    def record(self) -> Record:
        """The songs on one time, side by side where the profile has sides. Raises PlanError as `lay_out`."""
        betweens = {
            song.place: resampled_frames(song.between.frames, song.between.rate_hz, self.rate_hz)
            for song in self.songs
            if song.between is not None
        }
        frames = [song.frames for song in self.songs]
        by_side = self.profile.sides is not None
        return lay_out(self.release, frames, self.rate_hz, self.profile.cut_frames, betweens, by_side=by_side)

    @property
    def mixes(self) -> tuple[SoundUsed, ...]:
        """Every file that prints are made from, once, in the order of the record."""
        used = [
            one
            for song in self.songs
            for one in (
                song.mix,
                *song.printed,
                *(version.mix for version in song.versions),
                *filter(None, [song.between]),
            )
        ]
        return tuple({one.path: one for one in used}.values())


def song_for_delivery(song: Song, entry: ReleaseSong, profile: Profile) -> Song:
    """The song as a profile wants it delivered; itself where trim and profile change nothing.

    The trim goes into its own limiter. A ceiling is lowered, never raised; a song without a limiter gets
    none.
    """
    finish = song.finish
    limiter = finish.limiter if profile.limiter else None
    if limiter is not None and profile.ceiling_dbtp is not None:
        limiter = replace(limiter, ceiling_dbtp=min(limiter.ceiling_dbtp, profile.ceiling_dbtp))
    changed: Finish = replace(
        finish,
        gain_db=finish.gain_db + entry.trim_db,
        limiter=limiter,
        dither=profile.dither or finish.dither,
    )
    return song if changed == finish else replace(song, finish=changed)
