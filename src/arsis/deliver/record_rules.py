"""What the songs of a record have to be together, and what a profile's medium holds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from arsis.plan.model import Release, ReleaseSong
from arsis.plan.profile import Profile
from arsis.plan.trouble import Path as KeyPath
from arsis.plan.trouble import quoted

from .gathering import Gathering, ReadDocument
from .order import SoundUsed
from .song_look import SongLook

_SLACK_S = 1e-6  # times are written with six decimals


@dataclass(frozen=True, slots=True)
class Placed:
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

    @property
    def length_s(self) -> float:
        """How long it sounds."""
        end_s = self.mix.duration_s if self.entry.until_s is None else self.entry.until_s
        return min(end_s, self.mix.duration_s) - self.entry.from_s


def clock(time_s: float) -> str:
    """Minutes and seconds, with three decimals where they matter: 79:57, 0:03.950."""
    thousandths = round(1000.0 * time_s)
    minutes, rest = divmod(thousandths, 60_000)
    seconds, part = divmod(rest, 1000)
    return f"{minutes}:{seconds:02d}" + (f".{part:03d}" if part else "")


def row_s(songs: Sequence[Placed]) -> float:
    """The length of songs that follow one another; the gap before the first is not in the sound."""
    lengths_s = sum(song.length_s for song in songs)
    return lengths_s + sum(song.entry.gap_s - song.entry.overlap_s for song in songs[1:])


def check_times(songs: Sequence[Placed], document: ReadDocument, faults: Gathering) -> None:
    """Where a song begins, ends, fades and overlaps has to lie in its own sound and its neighbour's."""
    before: Placed | None = None
    for song in songs:
        entry, whole_s = song.entry, song.mix.duration_s
        for key, at_s in (("from_s", entry.from_s), ("until_s", entry.until_s)):
            late = at_s is not None and (at_s >= whole_s if key == "from_s" else at_s > whole_s + _SLACK_S)
            if late:
                allowed = f"inside the song, which is {whole_s:.6f} s long"
                faults.at(document, (*song.path, key), f"{at_s:.6f} s ({song.called})", allowed)
        if song.length_s <= 0.0:
            continue
        fades_s = entry.fade_in_s + entry.fade_out_s
        if fades_s > song.length_s + _SLACK_S:
            found = f"fades of {fades_s:g} s together ({song.called})"
            faults.at(document, song.path, found, f"at most its length, which is {song.length_s:.6f} s")
        shorter_s = min([song.length_s] + ([before.length_s] if before is not None else []))
        if entry.overlap_s > shorter_s:
            found = f"{entry.overlap_s:g} s ({song.called})"
            allowed = f"at most the shorter of the two songs, which is {shorter_s:.6f} s"
            faults.at(document, (*song.path, "overlap_s"), found, allowed)
        if entry.between is not None and before is not None and entry.between.lead_s > before.length_s:
            path = (*song.path, "between", "lead_s")
            allowed = f"at most the song before, which is {before.length_s:.6f} s long"
            faults.at(document, path, f"{entry.between.lead_s:g} s ({song.called})", allowed)
        before = song


def check_alike(
    songs: Sequence[Placed],
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
    wanted = profile.channels or max((song.mix.channels for song in songs), default=2)
    for song in songs:
        sounds = [("", song.mix), *((f" ({name})", one) for name, one in song.look.version.items())]
        for which, sound in sounds:
            if sound.channels != wanted:
                found = f"{song.called}{which} with {_channels(sound.channels)}"
                why = "as the profile has it" if profile.channels else "as the other songs have"
                faults.at(document, song.path, found, f"{_channels(wanted)}, {why}")


def check_medium(
    songs: Sequence[Placed], profile: Profile, document: ReadDocument, faults: Gathering
) -> None:
    """The bounds of the medium: number of songs, shortest song, longest record."""
    where = f"the profile {profile.name}"
    if profile.most_songs is not None and len(songs) > profile.most_songs:
        faults.at(document, ("song",), f"{len(songs)} songs", f"at most {profile.most_songs} in {where}")
    for song in songs:
        if song.length_s < profile.least_song_s:
            found = f"{song.called}, {clock(song.length_s)} long"
            faults.at(document, song.path, found, f"at least {clock(profile.least_song_s)} in {where}")
    if profile.most_record_s is not None and row_s(songs) > profile.most_record_s:
        found = f"a record of {clock(row_s(songs))}"
        faults.at(document, ("song",), found, f"at most {clock(profile.most_record_s)} in {where}")


def check_versions(songs: Sequence[Placed], document: ReadDocument, faults: Gathering) -> None:
    """A version that the release identifies has to be one of the plan's."""
    for song in songs:
        known = [one.name for one in song.look.song.version]
        for number, version in enumerate(song.entry.version):
            if version.name not in known:
                path = (*song.path, "version", number, "name")
                allowed = f"a version of {song.called} (there are: {', '.join(known) or 'none'})"
                faults.at(document, path, quoted(version.name), allowed)


def check_sides(songs: Sequence[Placed], profile: Profile, document: ReadDocument, faults: Gathering) -> None:
    """Sides follow one another; what they are to hold is advice."""
    if profile.sides is None:
        return
    sides: dict[str, list[Placed]] = {}
    for song in songs:
        side = song.entry.side
        if side in sides and song.place != sides[side][-1].place + 1:
            found = f"{quoted(side)} again ({song.called})"
            faults.at(document, (*song.path, "side"), found, "the songs of a side one after another")
        sides.setdefault(side, []).append(song)
    if "" in sides:
        missing = ", ".join(song.called for song in sides.pop(""))
        faults.warnings.append(f"no side is said for {missing}: set `side` in the release's [[song]]")
    best_s, most_s = profile.sides.best_side_s, profile.sides.most_side_s
    for side, held in sides.items():
        length_s = row_s(held)
        if length_s > most_s:
            faults.warnings.append(
                f"side {side} is {clock(length_s)} long; the longest that plants cut is {clock(most_s)}"
            )
        elif length_s > best_s:
            faults.warnings.append(
                f"side {side} is {clock(length_s)} long; past {clock(best_s)} it is cut at a lower level"
            )


def _channels(number: int) -> str:
    return "1 channel" if number == 1 else f"{number} channels"
