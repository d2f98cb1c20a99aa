"""A song's plan and a release, as frozen data. Times are seconds, levels dB; collections are tuples.

Inside the program these are trusted: `codec` has checked every bound when the document was read.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated, Literal, TypeAlias

from annotated_types import Ge, Le, MinLen, Unit, doc

from arsis.settings import Limiter, Processor

SONG_SCHEMA = 1
RELEASE_SCHEMA = 1

RideDb: TypeAlias = Annotated[float, Ge(-24.0), Le(12.0), Unit("dB")]
TimeS: TypeAlias = Annotated[float, Ge(0.0), Unit("s")]
SectionKind: TypeAlias = Literal[
    "intro",
    "verse",
    "pre_chorus",
    "chorus",
    "bridge",
    "break",
    "build",
    "solo",
    "interlude",
    "outro",
    "other",
]
Dither: TypeAlias = Annotated[
    Literal["none", "flat", "lipshitz_5", "modified_e_9", "improved_e_9", "wannamaker_3", "wannamaker_9"],
    doc("noise of a reduced word length: flat TPDF, or shaped by a published curve (made for 44.1 kHz)"),
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Join:
    """How a section is entered: a fade that ends `lead_ms` before the section starts."""

    fade_ms: Annotated[float, Ge(0.0), Le(4_000.0), Unit("ms")] = 20.0
    lead_ms: Annotated[float, Ge(-500.0), Le(500.0), Unit("ms")] = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A stretch of the song, up to where the next one starts."""

    name: Annotated[str, MinLen(1)]
    kind: SectionKind = "other"
    start_s: TimeS
    pass_: Annotated[str, MinLen(1)]
    ride_db: RideDb = 0.0
    join: Join | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Pass:
    """A treatment of the whole mix: a chain, or a file printed elsewhere."""

    note: str = ""
    chain: tuple[Processor, ...] = ()
    print: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RidePoint:
    """A point of the drawn ride; level is linear in dB between points, constant outside them."""

    time_s: TimeS
    gain_db: RideDb


@dataclass(frozen=True, slots=True, kw_only=True)
class Finish:
    """What every section shares after the joins."""

    chain: tuple[Processor, ...] = ()
    gain_db: Annotated[float, Ge(-24.0), Le(24.0), Unit("dB")] = 0.0
    limiter: Limiter | None = None
    dither: Dither = "flat"


@dataclass(frozen=True, slots=True, kw_only=True)
class Version:
    """Another mix of the same song: instrumental, clean, a cappella, TV."""

    name: Annotated[str, MinLen(1)]
    mix: Annotated[str, MinLen(1)]
    follow: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Song:
    """One mix and everything decided about it. Paths are relative to the release folder."""

    schema: int = SONG_SCHEMA
    title: Annotated[str, MinLen(1)]
    mix: Annotated[str, MinLen(1)]
    mix_sha256: str | None = None
    version: tuple[Version, ...] = ()
    section: tuple[Section, ...] = ()
    pass_: dict[str, Pass] = field(default_factory=dict)
    ride: tuple[RidePoint, ...] = ()
    finish: Finish = field(default_factory=Finish)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReleaseSong:
    """A song's place in the release."""

    plan: Annotated[str, MinLen(1)]
    isrc: str | None = None
    gap_s: Annotated[float, Ge(0.0), Le(600.0), Unit("s")] = 2.0
    trim_db: RideDb = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Release:
    """The order, the gaps and the identifiers."""

    schema: int = RELEASE_SCHEMA
    title: Annotated[str, MinLen(1)]
    artist: str = ""
    gtin: str | None = None
    song: tuple[ReleaseSong, ...] = ()
