"""Slow Ferry: 132 to the minute in half time, A minor. Heavy: low guitars, a deep snare on the third beat."""

from __future__ import annotations

from arsis.demo.score import Part, Score

from .band import GUESTS
from .parts import CRASH, REST, WHOLE, again, sing

_REFRAIN_LANES = {
    "boom": "X.....X.....x... X.....X...x.x...",
    "slab": "........X.......",
    "open": "x...x...x...x...",
    "picked_bass": "R=====R=R===F=O=",
    "wall": "X=======X=====x=",
    "guitar": "x===============",
    "organ": "o===============",
}
_FILL = {"slab": "........X...x.xX", "tom": "........x.x.....", "low_tom": "............x.x."}
_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords="Am Am F G Am Am Dm Am",
    lanes={
        "boom": "X.....x......... X.....x.....x...",
        "slab": "........X.......",
        "hat": "x...o...x...o...",
        "picked_bass": "R=====r=R=====f=",
        "wall": "X=====x=o....... X=====x=o.....x=",
    },
    fill=_FILL,
    melody=sing(
        "A3:2 C4:1 B3:1 A3:2 E3:1 -:1 G3:2 A3:1 C4:1 D4:3 -:1 "
        "A3:2 C4:1 B3:1 A3:2 E3:1 -:1 D4:2 C4:1 B3:1 A3:3 -:1",
        "no wa le mo so ta lo na me wo",
    ),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="F C Dm Am F Am G Am",
    lanes=_REFRAIN_LANES | CRASH,
    fill=_FILL,
    melody=sing(
        "E4:3 D4:1 C4:2 A3:1 -:1 F4:2 E4:1 D4:1 E4:3 -:1 E4:3 G4:1 A4:2 E4:1 -:1 D4:2 C4:1 B3:1 A3:3 -:1",
        "wa lo ma so ne la wo ta",
    ),
    harmony=True,
)

SLOW_FERRY = Score(
    name="slow-ferry",
    title="Slow Ferry",
    rate_hz=48_000,
    tempo_bpm=132.0,
    scale=(0, 2, 4, 5, 7, 9, 11),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=4,
            chords="Am Am F G",
            lanes={"wall": "X=====x=o.......", "hat": "x...x...x...x...", "low_tom": "X.............x."},
            fill=_FILL,
        ),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2", twang="x=======x=======", jingle="....o.......o..."),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="break",
            kind="break",
            bars=4,
            chords="Dm Am F E",
            lanes={"twang": "x=o=x=o=x=o=x=o=", "picked_bass": "r===============", "pad": WHOLE},
            fill=_FILL,
        ),
        again(_REFRAIN, "refrain 3"),
        Part(
            name="outro",
            kind="outro",
            bars=2,
            chords="F Am",
            lanes=_REFRAIN_LANES,
            fill={
                "boom": "X...............",
                "slab": REST,
                "open": REST,
                "crash": "x...............",
                "picked_bass": "R===============",
                "wall": "X===============",
            },
            rings_s=2.5,
        ),
    ),
    levels_db={"lead": 2.5, "harmony": 3.0},
    guests=GUESTS,
    glue_dbfs=-23.0,
    peak_dbfs=-1.5,
)
