"""A song of a release as it lies on the disk: its plan, and every sound file that its prints need."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from arsis.errors import SoundFileError
from arsis.io.digest import sha256_of
from arsis.io.info import SoundInfo
from arsis.io.probe import probe
from arsis.plan.check import past_the_end
from arsis.plan.codec import parse_song
from arsis.plan.model import Song
from arsis.plan.text import read_text, toml_table
from arsis.plan.trouble import Path as KeyPath
from arsis.plan.trouble import quoted

from .gathering import Gathering, ReadDocument
from .order import SoundUsed


@dataclass(frozen=True, slots=True)
class SongLook:
    """What was found. version: the sound of every version that is there, by name. printed: what prints need
    besides: passes printed elsewhere, versions' own prints of them, and versions that the limiter hears."""

    plan: ReadDocument
    song: Song
    mix: SoundUsed | None
    printed: tuple[SoundUsed, ...]
    version: dict[str, SoundUsed]


# Gives the facts of the sound file that a plan names at a key; None where there is none that can be used.
FindSound = Callable[[str, KeyPath], SoundUsed | None]


def look_at_song(release: Path, plan: str, with_versions: bool, faults: Gathering) -> SongLook | None:
    """Reads a plan and looks at its sound files; None where the plan itself is at fault."""
    name = str(release / plan)
    text = faults.tried(lambda: read_text(name))
    song = None if text is None else faults.tried(lambda: parse_song(text, name))
    if text is None or song is None:
        return None
    document = ReadDocument(name, toml_table(text, name))
    look = look_by(
        document,
        song,
        with_versions,
        lambda given, path: look_at_sound(release, given, document, path, faults),
    )
    if look.mix is not None:
        _fits(song, look.mix, document, faults)
    return look


def look_by(document: ReadDocument, song: Song, with_versions: bool, find: FindSound) -> SongLook:
    """Every sound file that the song's prints need, its versions' only where they are delivered too."""
    mix = find(song.mix, ("mix",))
    used = {section.pass_ for section in song.section}
    printed = [
        find(treatment.print, ("pass", key, "print"))
        for key, treatment in song.pass_.items()
        if treatment.print is not None and key in used
    ]
    version = {}
    for place, one in enumerate(song.version):
        is_heard = song.finish.share_limiter and one.follow
        if not with_versions and not is_heard:
            continue
        found = find(one.mix, ("version", place, "mix"))
        if found is not None and with_versions:
            version[one.name] = found
        if is_heard:
            printed.append(found)
        printed += [
            find(own.file, ("version", place, "print", number, "file"))
            for number, own in enumerate(one.print)
            if own.pass_ in used
        ]
    return SongLook(document, song, mix, tuple(one for one in printed if one is not None), version)


def look_at_sound(
    release: Path, given: str, document: ReadDocument, path: KeyPath, faults: Gathering
) -> SoundUsed | None:
    """The facts of a sound file that a document names; None where there is none that can be used."""
    try:
        info: SoundInfo = probe(release / given)
    except SoundFileError as fault:
        reason = str(fault).removeprefix(f"{release / given}: ")
        faults.at(document, path, f"{quoted(given)}, and {reason}", "a sound file in the release folder")
        return None
    digest = faults.tried(lambda: sha256_of(release / given))
    if digest is None:
        return None
    return SoundUsed(
        path=given, sha256=digest, frames=info.frames, rate_hz=info.rate_hz, channels=info.channels
    )


def _fits(song: Song, mix: SoundUsed, plan: ReadDocument, faults: Gathering) -> None:
    if song.mix_sha256 not in (None, mix.sha256):
        found = f"{song.mix_sha256}, while {song.mix} now has {mix.sha256}"
        allowed = "the mix that the plan was made for: put it back, or set this where the new one is meant"
        faults.at(plan, ("mix_sha256",), found, allowed)
    for one in past_the_end(song, mix.duration_s):
        faults.at(plan, one.path, one.found, one.allowed)
