"""Paraffin Waltz: 3/4, 118 to the minute, G major. Country: brushes, a picked electric, strums."""

from __future__ import annotations

from dataclasses import replace

from arsis.demo.score import Part, Score

from .parts import again, sing
from .stage import STAGE

_REST = "." * 12
_HOLD = "o==========="
_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=16,
    chords="G G C G G Em Am D G G C G Em C D G",
    lanes={
        "boom": "x...........",
        "brush": "-...o...o.-.",
        "bass": "R=======.... F=======....",
        "strum": "o...o...o.-.",
        "twang": f"{_REST} ......o.o... {_REST} o...o.o.....",
    },
    melody=sing(
        "B4:1 D5:1.5 B4:.5 A4:1 G4:2 E4:1 G4:1 A4:1 B4:2 -:1 "
        "B4:1 D5:1.5 B4:.5 G4:1 E4:2 A4:1 C5:1 B4:1 A4:2 -:1 "
        "B4:1 D5:1.5 B4:.5 A4:1 G4:2 E4:1 G4:1 C5:1 B4:2 -:1 "
        "G4:1 B4:1.5 G4:.5 E4:1 C5:2 B4:1 A4:1 F#4:1 G4:2 -:1",
        "lo na we ma so la te wo no",
    ),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="C D G Em C D G G",
    lanes={
        "boom": "X.......o...",
        "snare": "....x...x.-.",
        "hat": "x.o.x.o.x.o.",
        "jingle": "....o...o...",
        "bass": "R===r===f===",
        "strum": "x.-.o.o.o.o.",
        "twang": "o...o.o.o...",
        "organ": _HOLD,
        "pad": _HOLD,
    },
    fill={"snare": "....x.o.x.xx"},
    melody=sing(
        "E5:2 C5:1 D5:1 A4:2 B4:1 D5:1 G5:1 E5:2 -:1 E5:1.5 D5:.5 C5:1 D5:1 F#5:2 G5:2 D5:1 B4:2 -:1",
        "wa lo na so me la we no",
    ),
    harmony=True,
)

PARAFFIN_WALTZ = Score(
    name="paraffin-waltz",
    title="Paraffin Waltz",
    rate_hz=44_100,
    tempo_bpm=118.0,
    scale=(0, 2, 4, 6, 7, 9, 11),
    steps=12,
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=4,
            chords="G C D G",
            lanes={**_VERSE.lanes, "twang": "x.o.x.o.x.o. x...o.o.x..."},
        ),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2", keys="....o...o..."),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="outro",
            kind="outro",
            bars=4,
            chords="C D G G",
            lanes={**_VERSE.lanes, "twang": "x.o.x.o.x.o. x...o.o.x..."},
            fill={
                "boom": "x...........",
                "brush": "o...........",
                "bass": "R===========",
                "strum": "x===========",
                "twang": "x===========",
            },
            rings_s=2.0,
        ),
    ),
    levels_db={
        "boom": -3.0,
        "snare": -3.0,
        "brush": 2.0,
        "strum": 2.0,
        "organ": -1.5,
        "jingle": -1.0,
        "bass": 0.5,
    },
    guests=STAGE | {"twang": replace(STAGE["twang"], pans=(0.45,))},
    peak_dbfs=-3.4,
)
