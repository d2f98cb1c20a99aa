"""What a kind of delivery asks for, as frozen data: a profile is a document, like a plan.

The house's own lie in `deliver/profiles/`; a release may hold more in its folder `profiles/`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal, TypeAlias

from annotated_types import Ge, Le, MinLen, Unit, doc

from .model import Dither, Name, Note, Schema

PROFILE_SCHEMA = 1

Container: TypeAlias = Annotated[
    Literal["wav", "flac", "mp3", "aac", "opus", "vorbis"], doc("what the files are")
]
Codec: TypeAlias = Annotated[Literal["mp3", "aac", "opus", "vorbis"], doc("the lossy coder")]
LEAST_KBPS, MOST_KBPS = 32.0, 512.0  # music of two channels; what each coder takes of that: `coders`
Kbps: TypeAlias = Annotated[
    float, Ge(LEAST_KBPS), Le(MOST_KBPS), Unit("kbit/s"), doc("bit rate of all channels")
]
Source: TypeAlias = Annotated[str, MinLen(1), doc("where the figure comes from")]


@dataclass(frozen=True, slots=True, kw_only=True)
class LoudnessAdvice:
    """A published loudness that players turn to, or programmes are meant to have: advice, never a move."""

    of: Annotated[Literal["song", "loudest_song", "record"], doc("what is measured")]
    target_lufs: Annotated[float, Ge(-40.0), Le(-5.0), Unit("LUFS"), doc("integrated loudness")]
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class CodecCheck:
    """A lossy coder that the files will meet: they are taken through it and measured."""

    codec: Codec
    kbps: Kbps
    most_dbtp: Annotated[
        float, Ge(-12.0), Le(12.0), Unit("dBTP"), doc("the most its decoded peaks may have")
    ] = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Sides:
    """What a record with sides holds, as advice: common practice, no source but the plants' own pages."""

    best_side_s: Annotated[float, Ge(60.0), Unit("s"), doc("up to here a side can be cut at its best level")]
    most_side_s: Annotated[float, Ge(60.0), Unit("s"), doc("the longest side")]
    mono_below_hz: Annotated[
        float, Ge(20.0), Le(1000.0), Unit("Hz"), doc("below it left and right should move together")
    ]
    most_side_low_db: Annotated[
        float, Ge(-40.0), Le(6.0), Unit("dB"), doc("side over mid below that frequency, at most")
    ]
    sibilance_from_hz: Annotated[float, Ge(1000.0), Le(16000.0), Unit("Hz"), doc("where sibilance begins")]
    most_sibilance_db: Annotated[
        float,
        Ge(-40.0),
        Le(20.0),
        Unit("dB"),
        doc("the loudest 0.1 s from there up, over the level of the whole side, at most"),
    ]


@dataclass(frozen=True, slots=True, kw_only=True)
class Profile:
    """One kind of delivery.

    `rate_hz` left out is the release's or, where that says none, the mixes' own, which is then one for all.
    `dither` left out is each plan's.
    `least_song_s`, `most_record_s` and `most_songs` are bounds of the medium: past them nothing is made.
    """

    schema: Schema = PROFILE_SCHEMA
    name: Name
    about: Note = ""
    container: Container = "wav"
    rate_hz: Annotated[int | None, Ge(8000), Le(192000), Unit("Hz"), doc("of the files")] = None
    bits: Annotated[Literal["16", "24", "32f"], doc("word length; 32f is floating point")] = "24"
    channels: Annotated[int | None, Ge(1), Le(2), doc("of every file; left out, those of the mixes")] = None
    dither: Dither | None = None
    kbps: Annotated[
        float | None,
        Ge(LEAST_KBPS),
        Le(MOST_KBPS),
        Unit("kbit/s"),
        doc("bit rate of a lossy file, all channels"),
    ] = None
    limiter: Annotated[
        bool, doc("false leaves the plans' limiters out, and turns the release down to fit")
    ] = True
    ceiling_dbtp: Annotated[
        float | None,
        Ge(-12.0),
        Le(0.0),
        Unit("dBTP"),
        doc("true peaks at most; a plan's lower ceiling stands"),
    ] = None
    cut_frames: Annotated[
        int, Ge(1), Le(96000), doc("the files' cuts fall on multiples of so many frames")
    ] = 1
    least_song_s: Annotated[float, Ge(0.0), Unit("s"), doc("the shortest song")] = 0.0
    most_record_s: Annotated[float | None, Ge(0.0), Unit("s"), doc("the longest record")] = None
    most_songs: Annotated[int | None, Ge(1), doc("the most songs")] = None
    assembly: Annotated[bool, doc("the whole record, or each side, as one continuous file too")] = False
    versions: Annotated[bool, doc("the songs' other versions too")] = True
    file_name: Annotated[
        str,
        MinLen(1),
        doc("of a song, without its end; may hold {place}, {title}, {artist}, {isrc}, {version}"),
    ] = "{place} {title}"
    loudness: tuple[LoudnessAdvice, ...] = ()
    codec: tuple[CodecCheck, ...] = ()
    sides: Sides | None = None
