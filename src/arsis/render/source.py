"""A plan with its mix and its printed passes, open and ready to render."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path

from arsis.errors import PlanError
from arsis.io.digest import sha256_of
from arsis.io.read import SoundReader, open_sound
from arsis.plan.model import Song

from .printed import AlignedSound, align_printed


@dataclass(frozen=True, slots=True)
class Source:
    """A plan's mix, open for reading, its digest, and the passes printed elsewhere in the mix's time."""

    song: Song
    mix: SoundReader
    mix_sha256: str
    printed: Mapping[str, AlignedSound]

    @property
    def seed(self) -> int:
        """Of the dither noise: the mix's own, so that two prints of it differ only where their plans do."""
        return seed_of(self.mix_sha256)


def seed_of(mix_sha256: str) -> int:
    """A seed that is the same whenever the mix is."""
    return int(mix_sha256[:16], 16)


def open_source(song: Song, release: Path, stack: ExitStack) -> Source:
    """Opens the mix and every printed pass that a section uses.

    Raises PlanError where the mix is not the one the plan was made for, is too short for it, or a
    printed pass is not a print of it.
    """
    path = release / song.mix
    mix = stack.enter_context(open_sound(path))
    digest = sha256_of(path)
    if song.mix_sha256 not in (None, digest):
        raise PlanError(
            f"{path}: not the mix that the plan of {song.title!r} was made for: its SHA-256 is {digest}, "
            f"the plan has {song.mix_sha256}; put the old file back, or set mix_sha256 if it is meant"
        )
    used = {section.pass_ for section in song.section}
    printed = {
        name: align_printed(stack.enter_context(open_sound(release / treatment.print)), mix)
        for name, treatment in song.pass_.items()
        if treatment.print is not None and name in used
    }
    return Source(song, mix, digest, printed)
