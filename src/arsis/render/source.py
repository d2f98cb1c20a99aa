"""A plan with its mix, the passes printed elsewhere and its other versions, open and ready to render."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from arsis.io.read import SoundReader
from arsis.plan.model import Song

from .printed import AlignedSound
from .seed import seed_of
from .version_source import VersionSource


@dataclass(frozen=True, slots=True)
class Source:
    """A plan's mix, open for reading, its digest, and the passes printed elsewhere in the mix's time.

    followers: the versions that its limiter hears, too.
    """

    song: Song
    mix: SoundReader
    mix_sha256: str
    printed: Mapping[str, AlignedSound]
    followers: tuple[VersionSource, ...] = ()

    @property
    def seed(self) -> int:
        """Of the dither noise: the mix's own, so that two prints of it differ only where their plans do."""
        return seed_of(self.mix_sha256)
