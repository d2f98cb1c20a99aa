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

RideDb: TypeAlias = Annotated[float, Ge(-24.0), Le(12.0), Unit("dB"), doc("level change")]
TimeS: TypeAlias = Annotated[float, Ge(0.0), Unit("s"), doc("from the start of the mix")]
FadeS: TypeAlias = Annotated[float, Ge(0.0), Le(60.0), Unit("s"), doc("length of the fade")]
Isrc: TypeAlias = Annotated[str | None, doc("International Standard Recording Code")]
Name: TypeAlias = Annotated[str, MinLen(1), doc("what it is called")]
File: TypeAlias = Annotated[str, MinLen(1), doc("a path inside the release folder")]
Note: TypeAlias = Annotated[str, doc("for people")]
Chain: TypeAlias = Annotated[tuple[Processor, ...], doc("processors, in the order the sound takes")]
SectionKind: TypeAlias = Annotated[
    Literal[
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
    ],
    doc("its part in the song"),
]
Schema: TypeAlias = Annotated[int, doc("the format of the document")]
Dither: TypeAlias = Annotated[
    Literal["none", "flat", "lipshitz_5", "modified_e_9", "improved_e_9", "wannamaker_3", "wannamaker_9"],
    doc("noise of a reduced word length: flat TPDF, or shaped by a published curve (made for 44.1 kHz)"),
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Join:
    """How a section is entered: a fade that ends `lead_ms` before the section starts."""

    fade_ms: Annotated[float, Ge(0.0), Le(4_000.0), Unit("ms"), doc("length of the fade; 0 is a cut")] = 20.0
    lead_ms: Annotated[
        float, Ge(-500.0), Le(500.0), Unit("ms"), doc("how long before the section starts the fade is done")
    ] = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A stretch of the song, up to where the next one starts."""

    name: Name
    kind: SectionKind = "other"
    start_s: TimeS
    pass_: Annotated[str, MinLen(1), doc("the name of its pass")]
    ride_db: RideDb = 0.0
    join: Join | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Pass:
    """A treatment of the whole mix: a chain, or a file printed elsewhere."""

    note: Note = ""
    chain: Chain = ()
    print: Annotated[str | None, doc("a path inside the release folder: the pass as printed elsewhere")] = (
        None
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class RidePoint:
    """A point of the drawn ride; level is linear in dB between points, constant outside them."""

    time_s: TimeS
    gain_db: RideDb


@dataclass(frozen=True, slots=True, kw_only=True)
class Finish:
    """What every section shares after the joins."""

    chain: Chain = ()
    gain_db: Annotated[float, Ge(-24.0), Le(24.0), Unit("dB"), doc("level into the limiter")] = 0.0
    limiter: Limiter | None = None
    share_limiter: Annotated[
        bool, doc("the limiter hears the versions that follow, too: they keep the ceiling and still sum")
    ] = False
    dither: Dither = "flat"


@dataclass(frozen=True, slots=True, kw_only=True)
class VersionPrint:
    """A pass that was printed elsewhere, as it was printed from the version's own mix."""

    pass_: Annotated[str, MinLen(1), doc("the name of the pass")]
    file: File


@dataclass(frozen=True, slots=True, kw_only=True)
class Version:
    """Another mix of the same song: instrumental, clean, a cappella, TV."""

    name: Name
    mix: File
    follow: Annotated[bool, doc("take the gain that the main version's processors and limiter computed")] = (
        True
    )
    print: tuple[VersionPrint, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Song:
    """One mix and everything decided about it. Paths are relative to the release folder."""

    schema: Schema = SONG_SCHEMA
    title: Name
    mix: File
    mix_sha256: Annotated[str | None, doc("SHA-256 of the mix that the plan was made for")] = None
    version: tuple[Version, ...] = ()
    section: tuple[Section, ...] = ()
    pass_: dict[str, Pass] = field(default_factory=dict)
    ride: tuple[RidePoint, ...] = ()
    finish: Finish = field(default_factory=Finish)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReleaseVersion:
    """What identifies a version of a song: it is a recording of its own."""

    name: Name
    isrc: Isrc = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Between:
    """Sound laid over the gap before a song: an atmosphere, a room, applause."""

    file: File
    lead_s: Annotated[
        float, Ge(0.0), Le(60.0), Unit("s"), doc("how long before the song before has ended it begins")
    ] = 0.0
    gain_db: RideDb = 0.0
    fade_in_s: FadeS = 0.0
    fade_out_s: FadeS = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ReleaseSong:
    """A song's place in the release.

    `trim_db` is level among the other songs, into its own limiter. The fades are of the song's own two
    ends; over `overlap_s` two songs sound together.
    """

    plan: File
    isrc: Isrc = None
    artist: Annotated[str, doc("where it is another than the release's")] = ""
    gap_s: Annotated[float, Ge(0.0), Le(600.0), Unit("s"), doc("silence before it")] = 2.0
    trim_db: RideDb = 0.0
    from_s: Annotated[float, Ge(0.0), Unit("s"), doc("where in its print it begins")] = 0.0
    until_s: Annotated[float | None, Ge(0.0), Unit("s"), doc("where in its print it ends")] = None
    fade_in_s: FadeS = 0.0
    fade_out_s: FadeS = 0.0
    overlap_s: Annotated[
        float, Ge(0.0), Le(60.0), Unit("s"), doc("how long it sounds together with the song before")
    ] = 0.0
    between: Between | None = None
    side: Annotated[str, doc("of a record with sides: the one it is on")] = ""
    version: tuple[ReleaseVersion, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Release:
    """The order, the gaps and the identifiers."""

    schema: Schema = RELEASE_SCHEMA
    title: Name
    artist: Annotated[str, doc("as it is to be credited")] = ""
    gtin: Annotated[str | None, doc("Global Trade Item Number of the release")] = None
    catalogue_number: Annotated[str, doc("the label's own number")] = ""
    date: Annotated[str, doc("of the release: year, year-month or year-month-day")] = ""
    copyright: Annotated[str, doc("the line as those entitled to it want it")] = ""
    artwork: Annotated[str | None, MinLen(1), doc("a path inside the release folder: JPEG or PNG")] = None
    rate_hz: Annotated[
        int | None,
        Ge(8000),
        Le(192000),
        Unit("Hz"),
        doc("of the record, where a profile leaves it to the mixes"),
    ] = None
    song: tuple[ReleaseSong, ...] = ()
