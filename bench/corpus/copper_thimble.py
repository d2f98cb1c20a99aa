"""Copper Thimble: 3/4, 150 to the minute, D minor. A café waltz: accordion, piano, guitar; no drums."""

from __future__ import annotations

from arsis.demo.score import Part, Score

from .parlour import PARLOUR
from .parts import again, sing

_LONG = "x==========="
_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=16,
    chords="Dm Dm Gm Dm Gm Dm A7 A7 Dm Dm Gm Dm Gm A7 Dm Dm",
    lanes={
        "bass": "R===........ F===........",
        "strum": "....x...x...",
        "accordion": "o=======.... ........o=== o=======.... ....o=======",
    },
    melody=sing(
        "A4:1 D5:1 C#5:1 D5:2 A4:1 Bb4:1 A4:1 G4:1 F4:2 -:1 "
        "G4:1 Bb4:1 A4:1 F4:2 D4:1 E4:1 F4:1 G4:1 E4:2 -:1 "
        "A4:1 D5:1 C#5:1 D5:2 F5:1 D5:1 Bb4:1 G4:1 A4:2 -:1 "
        "Bb4:1.5 A4:.5 G4:1 E4:1 G4:1 C#5:1 D5:3 -:3",
        "la no we ta so lo me na wa",
    ),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=16,
    chords="F C7 C7 F Bb F C7 A7 Dm Gm C7 F Gm A7 Dm Dm",
    lanes={
        "bass": "R===....f=== R===f=======",
        "strum": "....x.o.x.o.",
        "accordion": "o=======o===",
        "grand": "o...o...o...",
        "pad": _LONG,
    },
    melody=sing(
        "C5:2 F5:1 E5:2 C5:1 Bb4:1 C5:1 D5:1 C5:2 -:1 "
        "D5:2 F5:1 C5:2 A4:1 Bb4:1 A4:1 G4:1 A4:2 -:1 "
        "F5:2 D5:1 Bb4:2 D5:1 E5:1 D5:1 C5:1 A4:2 -:1 "
        "Bb4:2 D5:1 C#5:2 E5:1 D5:3 -:3",
        "wa lo na se mo la we no",
    ),
    harmony=True,
)

COPPER_THIMBLE = Score(
    name="copper-thimble",
    title="Copper Thimble",
    rate_hz=44_100,
    tempo_bpm=150.0,
    scale=(0, 2, 4, 5, 7, 9, 10),
    steps=12,
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=8,
            chords="Dm Gm A7 Dm",
            lanes={"bass": "R===........", "strum": "....x...o...", "accordion": f"x===o=o=x=o= {_LONG}"},
        ),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2", pluck="....o.....o. ........o..."),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="outro",
            kind="outro",
            bars=4,
            chords="Gm A7 Dm Dm",
            lanes=_VERSE.lanes,
            fill={"bass": "R===========", "strum": _LONG, "accordion": _LONG},
            rings_s=1.5,
        ),
    ),
    levels_db={"strum": 1.5, "accordion": 0.5, "bass": 0.5, "grand": -3.0, "lead": -2.0},
    guests=PARLOUR,
    peak_dbfs=-3.6,
)
