"""What is known of a delivery besides its manifest and its plans: told where given, left out where not."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from arsis.render.took import Took


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptAs:
    """The state a plan was kept in. number: of the revision; changed: the plan went on from there."""

    number: int
    note: str = ""
    changed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class MixHeard:
    """A mix as it came in, by its own meters. used_bits: the word length really used; None for floats."""

    rate_hz: int
    channels: int
    bits: int | None
    is_float: bool
    used_bits: int | None
    integrated_lufs: float | None
    range_lu: float | None
    true_peak_dbtp: float | None
    sample_peak_dbfs: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SongExtra:
    """Of one song. took: one a section, in their order; whole: over the whole print."""

    revision: KeptAs | None = None
    mix: MixHeard | None = None
    took: tuple[Took, ...] = ()
    whole: Took | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CodecChecked:
    """A song taken through a lossy coder and back.

    most_dbtp: what its decoded peaks may have; overs: how often they were past full scale.
    where: of the highest peak, in words, such as the section.
    """

    place: int
    coder: str
    true_peak_dbtp: float | None
    most_dbtp: float
    overs: int | None = None
    loudness_change_lu: float | None = None
    where: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Extra:
    """songs: by their place. loudness, sides: advice, a sentence each. warnings: of the whole delivery."""

    songs: Mapping[int, SongExtra] = field(default_factory=dict)
    codecs: tuple[CodecChecked, ...] = ()
    loudness: tuple[str, ...] = ()
    sides: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()

    def of(self, place: int | None) -> SongExtra:
        """What is known of a song; nothing where it is not named."""
        return self.songs.get(place or 0, SongExtra())
