"""Mile Marker: 118 to the minute, G major. Country: a bass in two, strummed strings, a picked electric."""

from __future__ import annotations

from dataclasses import replace

from arsis.demo.score import Part, Score

from .band import GUESTS
from .parts import BACKBEAT, EIGHTHS, REST, WHOLE, again, sing

_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords="G G C G G Em Am D",
    lanes={
        "kick": "X.......X.......",
        "snare": "-.o.x.o.-.o.x.o.",
        "hat": EIGHTHS,
        "bass": "R===....f===..r.",
        "strum": "x...x.o.x...x.o.",
        "twang": "......o.....o.o. ..o...o.o.......",
    },
    melody=sing(
        "-:1 B4:.5 B4:.5 D5:1 B4:1 A4:1.5 G4:.5 D4:1 -:1 -:1 G4:.5 A4:.5 B4:1 A4:1 G4:3 -:1 "
        "-:1 B4:.5 B4:.5 D5:1 E5:1 D5:1.5 B4:.5 G4:1 -:1 -:1 C5:.5 C5:.5 B4:1 G4:1 A4:3 -:1",
        "na we lo ta me ko la so wa ne",
    ),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="C G D Em C G D G",
    lanes={
        "kick": "X.....x.X.....x.",
        "snare": "-.o.X.o.-.o.X.o.",
        "hat": EIGHTHS,
        "jingle": BACKBEAT,
        "bass": "R===..r.f===r.f.",
        "strum": "X.o.x.o-x.o.x.xo",
        "twang": "x...o.o.x...o.o.",
        "organ": "o===============",
    },
    fill={"snare": "x.o.X.o.x.xxX.xx"},
    melody=sing(
        "E5:1.5 E5:.5 D5:1 C5:1 D5:2 B4:1 -:1 A4:1.5 B4:.5 D5:1 A4:1 B4:3 -:1 "
        "E5:1.5 E5:.5 G5:1 E5:1 D5:2 B4:1 -:1 A4:1.5 B4:.5 D5:1 A4:1 G4:3 -:1",
        "wa lo na so me la wo te",
    ),
    harmony=True,
)

MILE_MARKER = Score(
    name="mile-marker",
    title="Mile Marker",
    rate_hz=44_100,
    tempo_bpm=118.0,
    scale=(0, 2, 4, 6, 7, 9, 11),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=4,
            chords="G C D G",
            lanes={**_VERSE.lanes, "twang": "x.o.x.x.o.x.x.o."},
        ),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2", grand="....o.......o..."),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="solo",
            kind="solo",
            bars=8,
            chords="G G C G Em Am D D",
            lanes={**_VERSE.lanes, "twang": "x.x.xx.xx.x.xxx."},
            fill=_REFRAIN.fill,
        ),
        again(_REFRAIN, "refrain 3"),
        Part(
            name="outro",
            kind="outro",
            bars=2,
            chords="D G",
            lanes=_VERSE.lanes,
            fill={
                "kick": "X...............",
                "snare": REST,
                "hat": REST,
                "bass": "R===============",
                "strum": "X===============",
                "twang": WHOLE,
            },
            rings_s=2.0,
        ),
    ),
    levels_db={"kick": -1.5, "snare": -1.0, "strum": 1.5, "twang": 0.5, "organ": 1.0},
    guests=GUESTS | {"twang": replace(GUESTS["twang"], pans=(0.5,))},
    peak_dbfs=-2.4,
)
