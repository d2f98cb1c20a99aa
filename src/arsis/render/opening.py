"""Opens everything that a plan renders from."""

from __future__ import annotations

from contextlib import ExitStack
from dataclasses import replace
from pathlib import Path

from arsis.errors import PlanError
from arsis.io.digest import sha256_of
from arsis.io.read import open_sound
from arsis.plan.model import Song

from .printed import align_printed
from .source import Source
from .version_mix import open_version


def open_source(song: Song, release: Path, stack: ExitStack) -> Source:
    """Opens the mix, every printed pass that a section uses, and the versions that share the limiter.

    Raises PlanError where the mix is not the one the plan was made for, is too short for it, a printed pass
    is not a print of it, or a version cannot follow.
    """
    path = release / song.mix
    mix = stack.enter_context(open_sound(path))
    digest = sha256_of(path)
    check_mix(song, path, digest)
    used = {section.pass_ for section in song.section}
    printed = {
        name: align_printed(stack.enter_context(open_sound(release / treatment.print)), mix)
        for name, treatment in song.pass_.items()
        if treatment.print is not None and name in used
    }
    source = Source(song, mix, digest, printed)
    if not song.finish.share_limiter or song.finish.limiter is None:
        return source
    followers = tuple(open_version(source, one, release, stack) for one in song.version if one.follow)
    return replace(source, followers=followers)


def check_mix(song: Song, path: Path, digest: str) -> None:
    """Raises PlanError where the mix at `path`, of this digest, is not the one the plan was made for."""
    told = another_mix(song, path, digest)
    if told is not None:
        raise PlanError(told)


def another_mix(song: Song, path: Path, digest: str) -> str | None:
    """What is to be said where the mix at `path` is not the one the plan was made for; None where it is."""
    if song.mix_sha256 in (None, digest):
        return None
    return (
        f"{path}: not the mix that the plan of {song.title!r} was made for: its SHA-256 is {digest}, "
        f"the plan has {song.mix_sha256}; put the old file back, or set mix_sha256 if it is meant"
    )
