"""Brick Garden: 158 to the minute, G major. Guitar rock: palm-dry verses, open refrains, an organ behind."""

from __future__ import annotations

from arsis.demo.score import Part, Score

from .band import GUESTS
from .parts import CRASH, REST, WHOLE, again, sing

_REFRAIN_LANES = {
    "kick": "X.....x.X.x..... X.....x.X.x...x.",
    "snare": "....X.......X...",
    "open": "x...x...x...x...",
    "picked_bass": "R=R=R=R=F=F=R=R=",
    "wall": "X===x===X=x=x===",
    "guitar": "X=====x=x===x===",
    "organ": "o===============",
}
_SOLO_LANES = _REFRAIN_LANES | {"guitar": REST, "twang": "X=x=X=x=x===X=x="}
_FILL = {"snare": "X...X...x.x.X.xx", "low_tom": "......x.......x."}
_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords="G G C D Am C Em D",
    lanes={
        "kick": "X...x.......x... X...x.x.....x...",
        "snare": "....X.......X..-",
        "hat": "X.x.x.x.X.x.x.x.",
        "picked_bass": "R=r=r=r=r=r=r=r= R=r=r=r=r=f=r=r=",
        "guitar": "x.o.....x.o...o.",
    },
    fill=_FILL,
    melody=sing(
        "-:.5 G4:.5 B4:1 B4:.5 A4:.5 G4:1 D4:2 -:2 -:.5 G4:.5 B4:1 C5:1 B4:1 A4:3 -:1 "
        "-:.5 C5:.5 C5:1 B4:.5 A4:.5 G4:1 E4:2 -:2 -:.5 D4:.5 E4:1 G4:1 A4:1 B4:2 A4:1 -:1",
        "ko la pe no wa ti so me na ta lo",
    ),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="G Em C G G Em D G",
    lanes=_REFRAIN_LANES | CRASH,
    fill=_FILL,
    melody=sing(
        "D5:2 B4:1 D5:1 E5:1.5 D5:.5 B4:1 -:1 C5:2 A4:1 C5:1 B4:3 -:1 "
        "D5:2 B4:1 D5:1 G5:2 E5:1 -:1 E5:1 D5:1 C5:1 A4:1 G4:3 -:1",
        "lo wa me ta no se la wo ka ne so",
    ),
    harmony=True,
)

BRICK_GARDEN = Score(
    name="brick-garden",
    title="Brick Garden",
    rate_hz=48_000,
    tempo_bpm=158.0,
    scale=(0, 2, 4, 6, 7, 9, 11),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=4,
            chords="G G C D",
            lanes={**_VERSE.lanes, "guitar": "X=====x=x===x===", "organ": "o==============="},
            fill=_FILL,
        ),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2", organ="........o======="),
        again(_REFRAIN, "refrain 2"),
        Part(name="solo", kind="solo", bars=8, chords="Em C G D Em C D D", lanes=_SOLO_LANES, fill=_FILL),
        again(_REFRAIN, "refrain 3"),
        Part(
            name="outro",
            kind="outro",
            bars=2,
            chords="C G",
            lanes=_REFRAIN_LANES,
            fill={
                "kick": "X...............",
                "snare": REST,
                "open": REST,
                "crash": "X...............",
                "picked_bass": "R===============",
                "wall": "X===============",
                "guitar": "X===============",
                "organ": WHOLE,
            },
            rings_s=2.0,
        ),
    ),
    levels_db={"kick": -1.5, "snare": 0.5, "wall": -3.0, "organ": 1.5, "lead": 1.5, "harmony": 1.0},
    guests=GUESTS,
    glue_dbfs=-24.0,
    peak_dbfs=-1.2,
)
