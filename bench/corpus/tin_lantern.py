"""Tin Lantern: 112 to the minute, A major. Country on a train beat: a brushed snare, a bass in two."""

from __future__ import annotations

from dataclasses import replace

from arsis.demo.score import Part, Score

from .horns import PLAYERS
from .parts import REST, WHOLE, again, sing

_TRAIN = "-o-x-o-x-o-x-o-X"
_TWO = "R===....F===...."

_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords="A D A E A D E A",
    lanes={
        "kick": "x.......x.......",
        "snare": _TRAIN,
        "bass": _TWO,
        "strum": "....o.......o...",
        "twang": "....o.-.....o.o.",
    },
    fill={"snare": "-o-x-o-x-oxoxoxX"},
    melody=sing(
        "E4:.5 A4:.5 A4:1 B4:.5 A4:1.5 F#4:1.5 A4:.5 D4:1 -:1 "
        "E4:.5 A4:.5 C#5:1 B4:.5 A4:1.5 B4:3 -:1 "
        "E4:.5 A4:.5 A4:1 C#5:.5 B4:1.5 A4:1.5 F#4:.5 D4:1 -:1 "
        "G#4:1 B4:1 G#4:.5 F#4:.5 E4:1 A4:3 -:1",
        "lo ta ne wa ko na me sa la no te",
    ),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="D A E A D A E A",
    lanes={
        "kick": "X...o...X...o...",
        "snare": "-o-x-o-Xox-x-o-X",
        "jingle": "..o...o...o...o.",
        "bass": "R===r===F===r=f=",
        "strum": "x.o.x.o-x.o.x.oo",
        "twang": "o...x.o.o...x.o.",
        "organ": "o===============",
        "pad": "o=======o=======",
    },
    fill={"snare": "-oxxoxXxoxxXxxXX"},
    melody=sing(
        "D5:1.5 C#5:.5 A4:1 F#4:1 A4:2 C#5:1 -:1 B4:1.5 C#5:.5 B4:1 G#4:1 A4:3 -:1 "
        "D5:1.5 E5:.5 F#5:1 D5:1 C#5:2 E5:1 -:1 D5:1 B4:1 G#4:1 B4:1 A4:3 -:1",
        "wa lo na mo se la no ta wo ne",
    ),
    harmony=True,
)

TIN_LANTERN = Score(
    name="tin-lantern",
    title="Tin Lantern",
    rate_hz=48_000,
    tempo_bpm=112.0,
    scale=(1, 2, 4, 6, 8, 9, 11),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=4,
            chords="A D E A",
            lanes={"snare": _TRAIN, "bass": _TWO, "strum": "x.o.x.o-x.o.x.oo", "twang": "o.o.x.o.o.o.x.o."},
        ),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2", grand="....-.......-..."),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="break",
            kind="solo",
            bars=4,
            chords="D A E A",
            lanes={**_VERSE.lanes, "strum": "x.o.x.o-x.o.x.oo", "twang": "x.x.X.xox.x.X.x."},
        ),
        again(_REFRAIN, "refrain 3", grand="o...o...o...o..."),
        Part(
            name="outro",
            kind="outro",
            bars=2,
            chords="E A",
            lanes=_VERSE.lanes,
            fill={
                "kick": "X...............",
                "snare": REST,
                "bass": "R===............",
                "strum": WHOLE,
                "twang": "x==.o==.x=======",
            },
            rings_s=1.5,
        ),
    ),
    levels_db={"snare": -3.0, "kick": -1.0, "strum": 1.0, "jingle": -2.0, "twang": 1.0, "pad": 2.0},
    guests=PLAYERS | {"strum": replace(PLAYERS["strum"], pans=(-0.75, 0.4))},
    peak_dbfs=-2.4,
)
