"""Wren: 96 to the minute, C major. A low voice and two steel-string guitars; a shaker is all the drums."""

from __future__ import annotations

from arsis.demo.score import Part, Score

from .band import GUESTS
from .parts import REST, again, sing

_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords="C Am F G Am F G C",
    lanes={"finger": "X.o.x.o.X.o.x.o.", "shaker": "-...-.o.-...-.o."},
    melody=sing(
        "-:1 E3:.5 G3:.5 A3:1 G3:.5 E3:.5 D3:1 C3:2 -:1 -:1 E3:.5 G3:.5 A3:1 C4:1 B3:1 G3:2 -:1 "
        "-:1 A3:.5 A3:.5 C4:1 B3:.5 A3:.5 G3:1 E3:2 -:1 -:1 F3:.5 E3:.5 D3:1 E3:1 C3:3 -:1",
        "lo na we so mo ta le no wa me la no se wo",
    ),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="Am F C G Am C F C",
    lanes={
        "strum": "X.x-x.x-X.x-x.x-",
        "finger": "x.o.x.o.x.o.x.o.",
        "bass": "R=======R===f===",
        "shaker": "o-x-o-x-o-x-o-x-",
    },
    melody=sing(
        "C4:1 E4:1.5 D4:.5 C4:1 B3:1 A3:2 -:1 A3:1 C4:1.5 B3:.5 A3:1 G3:3 -:1 "
        "C4:1 E4:1.5 D4:.5 C4:1 G4:1 E4:2 -:1 F4:1 E4:1 D4:1 B3:1 C4:3 -:1",
        "wa lo ne ma la so mo we no ta",
    ),
    harmony=True,
)

WREN = Score(
    name="wren",
    title="Wren",
    rate_hz=44_100,
    tempo_bpm=96.0,
    scale=(0, 2, 4, 5, 7, 9, 11),
    parts=(
        Part(name="intro", kind="intro", bars=4, chords="C Am F G", lanes={"finger": "X.o.x.o.X.o.x.o."}),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2", bass="r=======..r====="),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="outro",
            kind="outro",
            bars=2,
            chords="F C",
            lanes={"finger": "X.o.x.o.X.o.x.o."},
            fill={"finger": REST, "strum": "x==============="},
            rings_s=2.0,
        ),
    ),
    levels_db={"lead": 1.0, "bass": -4.0, "shaker": 1.0},
    guests=GUESTS,
    peak_dbfs=-3.5,
)
