"""What the songs of a record have to be together, and what a profile's medium holds."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from arsis.errors import PlanError
from arsis.plan.model import Release, ReleaseSong
from arsis.plan.profile import Profile
from arsis.plan.trouble import Path as KeyPath
from arsis.plan.trouble import quoted

from .gathering import Gathering, ReadDocument
from .order import Order, SoundUsed
from .record import Record
from .song_look import SongLook


@dataclass(frozen=True, slots=True)
class FoundSong:
    """A song in its place, from 1, with what was found of it on the disk."""

    place: int
    entry: ReleaseSong
    look: SongLook
    mix: SoundUsed

    @property
    def path(self) -> KeyPath:
        """Of its entry in the release's document."""
        return ("song", self.place - 1)

    @property
    def called(self) -> str:
        return f"{self.place:02d} {self.look.song.title}"


def clock(time_s: float, towards: Callable[[float], int] = round) -> str:
    """Minutes and seconds, with three decimals where they matter: 79:57, 0:03.950.

    towards: floor for what is too short and ceil for what is too long, so that it never looks like the bound.
    """
    thousandths = towards(1000.0 * time_s)
    minutes, rest = divmod(thousandths, 60_000)
    seconds, part = divmod(rest, 1000)
    return f"{minutes}:{seconds:02d}" + (f".{part:03d}" if part else "")


def check_alike(
    songs: Sequence[FoundSong],
    release: Release,
    profile: Profile,
    document: ReadDocument,
    faults: Gathering,
) -> None:
    """One record is on one timeline: one rate and one number of channels."""
    rates = {song.mix.rate_hz for song in songs}
    if profile.rate_hz is None and release.rate_hz is None and len(rates) > 1:
        found = "; ".join(f"{song.called} at {song.mix.rate_hz} Hz" for song in songs)
        allowed = f"one rate for one record: set it at the release's head, such as rate_hz = {max(rates)}"
        faults.at(document, ("song",), f"songs at different rates: {found}", allowed)
    mixed = len({song.mix.channels for song in songs}) > 1
    for song in songs:
        for which, sound in (("", song.mix), *song.look.version.items()):
            called = f"{song.called} ({which})" if which else song.called
            if profile.channels is not None and sound.channels > profile.channels:
                allowed = f"{_channels(profile.channels)} in the profile {profile.name}"
                faults.at(document, song.path, f"{called} with {_channels(sound.channels)}", allowed)
            elif profile.channels is None and sound.channels > song.mix.channels:
                faults.at(document, song.path, f"{called} with 2 channels", "1 channel, as its song has")
            elif mixed and profile.channels == 2 and sound.channels == 1:
                faults.warnings.append(f"{called} is mono: it comes as two equal channels")
    if mixed and profile.channels is None:
        found = "; ".join(f"{song.called} with {_channels(song.mix.channels)}" for song in songs)
        allowed = "as many channels in every song, or a profile of your own with channels = 2"
        faults.at(document, ("song",), f"mono and stereo songs: {found}", allowed)


def check_times(order: Order, document: ReadDocument, faults: Gathering) -> Record | None:
    """The songs on one time; None where their times cannot be together."""
    try:
        return order.record
    except PlanError as fault:
        faults.faults.extend(f"{document.name}: {line}" for line in str(fault).splitlines())
        return None


def check_medium(
    songs: Sequence[FoundSong], record: Record, profile: Profile, document: ReadDocument, faults: Gathering
) -> None:
    """The bounds of the medium: number of songs, shortest song, longest record."""
    where = f"in the profile {profile.name}"
    if profile.most_songs is not None and len(songs) > profile.most_songs:
        faults.at(document, ("song",), f"{len(songs)} songs", f"at most {profile.most_songs} {where}")
    for song, placed in zip(songs, record.songs, strict=True):
        length_s = placed.song.frames / record.rate_hz
        if length_s < profile.least_song_s:
            found = f"{song.called}, {clock(length_s, math.floor)} long"
            faults.at(document, song.path, found, f"at least {clock(profile.least_song_s)} {where}")
    whole_s = record.frames / record.rate_hz
    if profile.most_record_s is not None and whole_s > profile.most_record_s:
        allowed = f"at most {clock(profile.most_record_s)} {where}"
        faults.at(document, ("song",), f"a record of {clock(whole_s, math.ceil)}", allowed)


def check_versions(songs: Sequence[FoundSong], document: ReadDocument, faults: Gathering) -> None:
    """A version that the release identifies has to be one of the plan's."""
    for song in songs:
        known = [one.name for one in song.look.song.version]
        for number_, version in enumerate(song.entry.version):
            if version.name not in known:
                path = (*song.path, "version", number_, "name")
                allowed = f"a version of {song.called} (there are: {', '.join(known) or 'none'})"
                faults.at(document, path, quoted(version.name), allowed)


def check_sides(
    songs: Sequence[FoundSong], record: Record, profile: Profile, document: ReadDocument, faults: Gathering
) -> None:
    """Sides are stretches of the record; what they are to hold is advice."""
    if profile.sides is None:
        return
    seen: set[str] = set()
    for side in record.sides:
        if side.name in seen:
            song = songs[side.places[0] - 1]
            found = f"{quoted(side.name)} again ({song.called})"
            faults.at(document, (*song.path, "side"), found, "the songs of a side one after another")
        seen.add(side.name)
        if side.name:
            line = side_length(profile, f"side {side.name}", side.sound.frames / record.rate_hz)
            faults.warnings += [line] if line else []
        else:
            missing = ", ".join(songs[place - 1].called for place in side.places)
            faults.warnings.append(f"no side is said for {missing}: set `side` in the release's [[song]]")


def side_length(profile: Profile, called: str, length_s: float) -> str:
    """What the length of a side means for its cut; empty where it means nothing."""
    if profile.sides is None:
        return ""
    best, most = clock(profile.sides.best_side_s), clock(profile.sides.most_side_s)
    if length_s > profile.sides.most_side_s:
        return f"{called} is {clock(length_s)} long; the longest that plants cut is {most}"
    if length_s > profile.sides.best_side_s:
        return f"{called} is {clock(length_s)} long; past {best} it has to be cut at a lower level"
    return ""


def _channels(count: int) -> str:
    return "1 channel" if count == 1 else f"{count} channels"
