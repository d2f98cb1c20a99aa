"""Velcro Season: 112 to the minute, F sharp minor. Heavy: clean verses, walls in the refrains."""

from __future__ import annotations

from arsis.demo.score import Part, Score

from .parts import BACKBEAT, CRASH, EIGHTHS, REST, WHOLE, again, sing
from .stage import STAGE

_BASS = "R=r=R=r=R=r=R=f="
_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords="F#m D A E",
    lanes={
        "kick": "X..x....X.x.....",
        "snare": BACKBEAT,
        "hat": EIGHTHS,
        "picked_bass": _BASS,
        "twang": "x.o.x.o.x.o.x.oo",
        "guitar": "-=======-=======",
    },
    fill={"snare": "....X...x.x.XxXX"},
    melody=sing(
        "C#5:1 C#5:.5 B4:.5 A4:1 F#4:1 A4:1.5 F#4:.5 D4:1 -:1 "
        "E4:1 A4:.5 C#5:.5 B4:1 A4:1 G#4:2 E4:1 -:1 "
        "C#5:1 E5:.5 C#5:.5 A4:1 F#4:1 F#4:1.5 A4:.5 D5:1 -:1 "
        "C#5:1 A4:.5 C#5:.5 E5:1 C#5:1 B4:3 -:1",
        "no wa lo me na so ka la we",
    ),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="D A E F#m D A E E",
    lanes={
        "kick": "X..x..x.X.x..x..",
        "snare": BACKBEAT,
        "open": "x...x...x...x...",
        "picked_bass": "R=R=R=R=R=R=R=F=",
        "wall": "X===X.x=X===x=x=",
        "guitar": "x=======x=======",
    }
    | CRASH,
    fill={"snare": "X.x.X.x.X.xxXXXX", "low_tom": "........x.x.x.x."},
    melody=sing(
        "F#5:2 E5:1 D5:1 C#5:2 A4:1 -:1 B4:2 E5:1 G#4:1 A4:3 -:1 "
        "F#5:2 E5:1 D5:1 E5:2 C#5:1 -:1 B4:1 C#5:1 E5:1 B4:1 G#4:3 -:1",
        "wa lo na so ne we la ma",
    ),
    harmony=True,
)

VELCRO_SEASON = Score(
    name="velcro-season",
    title="Velcro Season",
    rate_hz=48_000,
    tempo_bpm=112.0,
    scale=(1, 2, 4, 6, 8, 9, 11),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=4,
            chords="F#m D A E",
            lanes={"twang": "x.o.x.o.x.o.x.oo", "picked_bass": _BASS, "hat": "x...x...x...x..."},
            fill={"snare": "........x.x.XxXX"},
        ),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2", wall="........-======="),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="bridge",
            kind="bridge",
            bars=4,
            chords="Bm D Bm E",
            lanes={
                "kick": "X.......X.......",
                "low_tom": "x..x..x...x...x.",
                "snare": "............x...",
                "hat": "x...x...x...x...",
                "picked_bass": "R=======r=======",
                "guitar": "x===============",
                "twang": "x...o...x...o...",
            },
            fill={"snare": "x.x.x.x.XxXxXXXX"},
        ),
        Part(
            name="outro",
            kind="outro",
            bars=2,
            chords="D F#m",
            lanes=_REFRAIN.lanes,
            fill={
                "kick": "X...............",
                "snare": "X...............",
                "open": REST,
                "crash": "x...............",
                "picked_bass": "R===============",
                "wall": WHOLE,
                "guitar": WHOLE,
            },
            rings_s=2.0,
        ),
    ),
    levels_db={"kick": -1.5, "snare": -1.0, "wall": -1.0, "guitar": -0.5, "lead": 1.5, "harmony": 2.0},
    guests=STAGE,
    glue_dbfs=-20.0,
    peak_dbfs=-1.2,
)
