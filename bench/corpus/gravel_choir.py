"""Gravel Choir: 138 to the minute, E minor. Loud rock: two low guitars all the way through."""

from __future__ import annotations

from arsis.demo.score import Part, Score

from .band import GUESTS
from .parts import BACKBEAT, CRASH, again, sing

_REFRAIN_LANES = {
    "kick": "X..x..X.X..x..x.",
    "snare": BACKBEAT,
    "open": "x...x...x...x...",
    "picked_bass": "R=R=R=R=R=R=F=O=",
    "wall": "X=====X=X===X===",
    "guitar": "x=======x=======",
}
_FILL = {"snare": "....X.....x.xxxX", "tom": "........x.......", "low_tom": "..............x."}
_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords="Em Em G A Em Em C D",
    lanes={
        "kick": "X.....x.X....... X.....x.X..x....",
        "snare": BACKBEAT,
        "hat": "x.o.x.o.x.o.x.o.",
        "picked_bass": "R=r=r=r=R=r=r=r=",
        "wall": "X.x.o.x.X.x.o.x.",
    },
    fill=_FILL,
    melody=sing(
        "-:1 E4:.5 G4:.5 A4:1 G4:1 E4:2 -:2 -:1 E4:.5 G4:.5 A4:1 B4:1 A4:2 -:2 "
        "-:1 G4:.5 A4:.5 B4:1 A4:1 G4:2 E4:1 -:1 -:1 D4:.5 E4:.5 G4:1 A4:1 B4:3 -:1",
        "ka lo na te sa me wa no ta so",
    ),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="Em C G D Em C D Em",
    lanes=_REFRAIN_LANES | CRASH,
    fill=_FILL,
    melody=sing(
        "B4:1.5 D5:.5 E5:2 D5:1 B4:2 -:1 A4:1.5 B4:.5 D5:2 B4:3 -:1 "
        "B4:1.5 D5:.5 E5:2 G5:1 F#5:1 D5:1 E5:1 D5:1.5 B4:.5 A4:2 E4:3 -:1",
        "wa lo ta ne mo la se no ka wo",
    ),
    harmony=True,
)

GRAVEL_CHOIR = Score(
    name="gravel-choir",
    title="Gravel Choir",
    rate_hz=48_000,
    tempo_bpm=138.0,
    scale=(2, 4, 6, 7, 9, 11, 0),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=4,
            chords="Em G A C",
            lanes={**_VERSE.lanes, "wall": "X=====x.X===x.x.", "open": "x...x...x...x..."} | CRASH,
            fill=_FILL,
        ),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2", jingle="....o.......o..."),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="solo",
            kind="solo",
            bars=8,
            chords="C D Em Em C D G B",
            lanes=_REFRAIN_LANES
            | {"guitar": "................", "wall": "X===x.x.X===x.x.", "twang": "x=x=x===x=x=x=x="}
            | CRASH,
            fill=_FILL,
        ),
        again(_REFRAIN, "refrain 3"),
        Part(
            name="outro",
            kind="outro",
            bars=2,
            chords="C Em",
            lanes=_REFRAIN_LANES,
            fill={
                "kick": "X...............",
                "snare": "................",
                "open": "................",
                "crash": "X...............",
                "picked_bass": "R===============",
                "wall": "X===============",
                "guitar": "x===============",
            },
            rings_s=2.5,
        ),
    ),
    guests=GUESTS,
    glue_dbfs=-25.0,
    peak_dbfs=-0.6,
)
