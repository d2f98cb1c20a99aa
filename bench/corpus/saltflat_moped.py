"""Saltflat Moped: 164 to the minute, A minor. Surf: a wet guitar, galloping toms, a doubled snare."""

from __future__ import annotations

from dataclasses import replace

from arsis.demo.score import Part, Score

from .parlour import PARLOUR
from .parts import CRASH, EIGHTHS, REST, WHOLE, again, sing

_SURF = "....X.......X.X."
_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=12,
    chords="Am Am G G F F E E Am G F E",
    lanes={
        "kick": "X.......X.......",
        "snare": _SURF,
        "hat": EIGHTHS,
        "low_tom": "x..ox..ox..ox..o",
        "picked_bass": "R=r=F=r=R=r=F=o=",
        "twang": "x.o.o.x.o.o.x.o.",
    },
    fill={"snare": "....X...XxXxXxXx"},
    melody=sing(
        "E5:2 D5:1 C5:1 A4:3 -:1 D5:2 B4:1 G4:1 B4:3 -:1 C5:2 A4:1 F4:1 A4:3 -:1 "
        "B4:2 C5:1 B4:1 G#4:3 -:1 A4:1 C5:1 E5:2 D5:2 B4:2 C5:1 A4:1 F4:1 A4:1 B4:3 -:1",
        "na wo la te ko so lo me",
    ),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="C G Am Em F C E Am",
    lanes={
        "kick": "X.....X.X.......",
        "snare": _SURF,
        "hat": EIGHTHS,
        "jingle": "....x.......x...",
        "picked_bass": "R=R=F=R=R=R=F=O=",
        "twang": "x.x.o.x.x.o.x.o.",
        "strum": "x.o-x.o-x.o-x.oo",
        "guitar": "....x.......x...",
    }
    | CRASH,
    fill={"snare": "X...X.x.XxXxXXXX", "tom": "......x.x.x....."},
    melody=sing(
        "G5:2 E5:1 C5:1 D5:2 B4:1 -:1 C5:2 E5:1 A5:1 G5:2 E5:1 -:1 "
        "F5:2 A4:1 C5:1 E5:2 G4:1 -:1 B4:1 D5:1 G#4:1 B4:1 A4:3 -:1",
        "wa lo no ma we la so ta",
    ),
    harmony=True,
)

SALTFLAT_MOPED = Score(
    name="saltflat-moped",
    title="Saltflat Moped",
    rate_hz=48_000,
    tempo_bpm=164.0,
    scale=(0, 2, 4, 5, 7, 9, 11),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=4,
            chords="Am Am F E",
            lanes={"twang": "x.x.x.x.x.x.x.x.", "low_tom": "x..ox..ox..ox..o", "kick": "X.......X......."},
            fill={"snare": "x.x.x.x.XxXxXxXx"},
        ),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2", organ="o=......o=......"),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="race",
            kind="solo",
            bars=8,
            chords="Am G F E",
            lanes={**_VERSE.lanes, "twang": "X.xoX.xoX.xoX.xo", "strum": "....x.......x..."},
            fill={"snare": "X.x.X.x.XxXxXxXx"},
        ),
        again(_REFRAIN, "refrain 3", organ="o==============="),
        Part(
            name="outro",
            kind="outro",
            bars=4,
            chords="Am G F Am",
            lanes=_VERSE.lanes,
            fill={
                "kick": "X...............",
                "snare": "X...............",
                "hat": REST,
                "low_tom": REST,
                "crash": "x...............",
                "picked_bass": "R===............",
                "twang": WHOLE,
            },
            rings_s=2.0,
        ),
    ),
    levels_db={"twang": 1.0, "low_tom": -4.0, "snare": -1.0, "lead": 1.5, "strum": 1.0, "hat": 1.0},
    guests=PARLOUR | {"twang": replace(PARLOUR["twang"], pans=(0.4,), room_db=-6.0)},
    peak_dbfs=-2.2,
)
