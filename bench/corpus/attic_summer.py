"""Attic Summer: 152 to the minute, B flat major. Indie: two jangling guitars, a picked bass, a quick kit."""

from __future__ import annotations

from dataclasses import replace

from arsis.demo.score import Part, Score

from .band import GUESTS
from .parts import BACKBEAT, CRASH, EIGHTHS, REST, WHOLE, again, sing

_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=16,
    chords="Bb Bb Gm Gm Eb Eb F F",
    lanes={
        "kick": "X.....x.X.......",
        "snare": BACKBEAT,
        "hat": EIGHTHS,
        "picked_bass": "R=r=r=r=R=r=r=r=",
        "guitar": "x===o=..x===o=..",
        "twang": "o.o.o.o.o.o.o.o.",
    },
    fill={"snare": "....X.......X.xx"},
    melody=sing(
        "F4:1 F4:1 G4:1 Bb4:1 D5:3 -:1 C5:1 Bb4:1 G4:1 Bb4:1 G4:3 -:1 "
        "G4:1 G4:1 Bb4:1 C5:1 D5:2 Bb4:1 -:1 C5:1 C5:1 Bb4:1 A4:1 C5:3 -:1 "
        "F4:1 F4:1 G4:1 Bb4:1 D5:3 -:1 D5:1 C5:1 Bb4:1 A4:1 G4:3 -:1 "
        "G4:1 Bb4:1 C5:1 D5:1 Eb5:2 D5:1 -:1 C5:1 Bb4:1 A4:1 Bb4:1 C5:3 -:1",
        "no wa le ta so me la ne ko wo",
    ),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="Eb F Bb Gm Eb F Bb Bb",
    lanes={
        "kick": "X..x..x.X..x..x.",
        "snare": BACKBEAT,
        "open": "x...x...x...x...",
        "picked_bass": "R=R=R=r=R=R=R=o=",
        "guitar": "x=o=x=o=x=o=x=o=",
        "twang": "x.x.x.x.x.x.x.x.",
        "keys": "x===x===x===x===",
    }
    | CRASH,
    fill={"snare": "X...X...X.x.XxXx"},
    melody=sing(
        "G5:2 F5:1 Eb5:1 F5:2 C5:1 -:1 D5:2 C5:1 Bb4:1 D5:3 -:1 "
        "G5:2 F5:1 Eb5:1 F5:2 C5:1 -:1 D5:1 C5:1 Bb4:1 A4:1 Bb4:3 -:1",
        "wa lo na so me la",
    ),
    harmony=True,
)

ATTIC_SUMMER = Score(
    name="attic-summer",
    title="Attic Summer",
    rate_hz=48_000,
    tempo_bpm=152.0,
    scale=(0, 2, 3, 5, 7, 9, 10),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=4,
            chords="Bb Gm Eb F",
            lanes={
                "guitar": "x===o=..x===o=..",
                "twang": EIGHTHS,
                "kick": "X.......X.......",
                "hat": "x...x...x...x...",
            },
            fill={"snare": "x...x...x.x.x.xx"},
        ),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2", shaker="x.o.x.o.x.o.x.o."),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="interlude",
            kind="interlude",
            bars=8,
            chords="Gm Gm Eb Eb Bb Bb F F",
            lanes={**_VERSE.lanes, "twang": "x.xxx.x.xxx.x.x.", "organ": "o==============="},
            fill=_VERSE.fill,
        ),
        again(_REFRAIN, "refrain 3", jingle=EIGHTHS),
        Part(
            name="outro",
            kind="outro",
            bars=4,
            chords="Eb F Bb Bb",
            lanes=_VERSE.lanes,
            fill={
                "kick": "X...............",
                "snare": REST,
                "hat": REST,
                "picked_bass": "R===============",
                "guitar": "X===============",
                "twang": WHOLE,
            },
            rings_s=1.5,
        ),
    ),
    levels_db={"kick": -1.0, "picked_bass": 1.0, "twang": -1.0, "open": 1.5, "lead": 0.5},
    guests=GUESTS | {"twang": replace(GUESTS["twang"], pans=(-0.45,))},
    peak_dbfs=-1.4,
)
