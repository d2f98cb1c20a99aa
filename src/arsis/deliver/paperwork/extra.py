"""What is known of a delivery besides its manifest and its plans: told where given, left out where not."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from arsis.deliver.codec_check import CodecChecked
from arsis.deliver.loudness_advice import Advice
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
    """Of one song. took: one a section, in their order; whole: over the whole print. codecs: of its file."""

    revision: KeptAs | None = None
    mix: MixHeard | None = None
    took: tuple[Took, ...] = ()
    whole: Took | None = None
    codecs: tuple[CodecChecked, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Extra:
    """songs: by their place. untried: codec checks that could not be made, and why. loudness: what players
    do with these levels. sides: advice for a record that is cut. warnings: of the whole delivery."""

    songs: Mapping[int, SongExtra] = field(default_factory=dict)
    untried: tuple[str, ...] = ()
    loudness: tuple[Advice, ...] = ()
    sides: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()

    def of(self, place: int | None) -> SongExtra:
        """What is known of a song; nothing where it is not named."""
        return self.songs.get(place or 0, SongExtra())
