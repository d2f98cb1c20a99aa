"""Orange Stairwell: 104 to the minute, D minor. Salsa: a piano that never rests, hand drums, horns."""

from __future__ import annotations

from arsis.demo.score import Part, Score

from .parts import REST, again, sing
from .stage import STAGE

_CLAVE = "..x.x...x..x..x."
_TUMBAO = "R..F==R=...F==R= ...F==R=...F==O="
_MONTUNO = "o.oo.o.o.o.oo.o."
_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords="Dm Gm A7 Dm",
    lanes={
        "boom": "o.......o.......",
        "rim": _CLAVE,
        "conga": "-.x.-.oo-.x.-.oo",
        "shaker": "x-o-x-o-x-o-x-o-",
        "bass": _TUMBAO,
        "grand": _MONTUNO,
    },
    fill={"tom": "............x.xx"},
    melody=sing(
        "A4:.5 A4:.5 D5:.5 D5:1 C#5:.5 D5:1 F5:1 E5:.5 D5:.5 Bb4:1 -:1 "
        "C#5:.5 C#5:.5 E5:.5 G5:1 E5:.5 C#5:1 D5:1 A4:1 F4:1 -:1 "
        "A4:.5 D5:.5 F5:.5 F5:1 E5:.5 D5:1 D5:1 Bb4:.5 G4:.5 Bb4:1 -:1 "
        "A4:.5 C#5:.5 E5:.5 E5:1 D5:.5 C#5:1 D5:2 -:2",
        "na lo ta we ko la mo sa te",
    ),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="Bb F Gm A7 Bb F A7 Dm",
    lanes={
        "boom": "x.......x.......",
        "rim": _CLAVE,
        "conga": "o-Xoo-oXo-Xoo-oX",
        "shaker": "x-x-x-x-x-x-x-x-",
        "ride": "x.o.x.o.x.oox.o.",
        "bass": "R..F==R=R..F==O=",
        "grand": "x.xx.x.x.x.xx.x.",
        "strum": "..o...o...o...o.",
        "brass": "........x.X=.... ......x.x=X==... ........X=x.X=.. ....x=x=..X===..",
    },
    fill={"tom": "........x.xx....", "low_tom": "............x.xX"},
    melody=sing(
        "F5:1 D5:.5 F5:.5 F5:1 -:1 F5:1 A4:.5 F5:.5 F5:1 -:1 "
        "D5:1 D5:.5 Bb4:.5 D5:1 -:1 E5:1 C#5:.5 A4:.5 C#5:1 -:1 "
        "F5:1 D5:.5 F5:.5 Bb4:1 -:1 A4:1 F5:.5 A4:.5 F5:1 -:1 E5:1 G5:.5 E5:.5 C#5:1 -:1 D5:2 -:2",
        "wa no la so me lo ka we",
    ),
    harmony=True,
)

ORANGE_STAIRWELL = Score(
    name="orange-stairwell",
    title="Orange Stairwell",
    rate_hz=48_000,
    tempo_bpm=104.0,
    scale=(1, 2, 4, 5, 7, 9, 10),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=2,
            chords="Dm A7",
            lanes={**_VERSE.lanes, "brass": "x=..x.x=..X===.. x=..x.x=X======="},
        ),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2", brass=f"{REST} {REST} {REST} ........x.x=X=.."),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="horns",
            kind="interlude",
            bars=4,
            chords="Gm A7 Gm A7",
            lanes={**_REFRAIN.lanes, "brass": "X=x.x=X=..x.X=.. ..x=X=x=X=====.."},
            fill=_REFRAIN.fill,
        ),
        Part(
            name="outro",
            kind="outro",
            bars=2,
            chords="A7 Dm",
            lanes={**_VERSE.lanes, "brass": "x=..x.x=X======="},
            fill={
                "boom": "x.......x.......",
                "rim": REST,
                "conga": "o..xX...X.......",
                "shaker": REST,
                "bass": "R=......R===....",
                "grand": "x.xx.x..X===....",
                "brass": "x.xx.x..X===....",
            },
        ),
    ),
    levels_db={
        "boom": -3.0,
        "shaker": 6.0,
        "conga": 2.0,
        "bass": 1.5,
        "rim": 1.0,
        "brass": -1.0,
        "lead": 1.0,
        "harmony": 5.0,
    },
    guests=STAGE,
    peak_dbfs=-2.2,
)
