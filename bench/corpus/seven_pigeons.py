"""Seven Pigeons: 7/8, 160 quarters a minute, B dorian. Rock that counts: a riff in 2+2+3, guitars, organ."""

from __future__ import annotations

from arsis.demo.score import Part, Score

from .parlour import PARLOUR
from .parts import again, sing

_LONG = "x============="
_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=12,
    chords="Bm Bm E Bm",
    lanes={
        "punch": "X...x...X.....",
        "crack": "....X.....x...",
        "hat": "x.o.x.o.x.o.o.",
        "picked_bass": "R=r=R=..F=..o=",
        "twang": "x.o.x.o.x.o.o.",
        "guitar": "x.......x.....",
    },
    fill={"crack": "....X...x.x.xX"},
    melody=sing(
        "F#4:1 A4:1 B4:1 -:.5 D5:1 C#5:1 B4:1 -:.5 B4:1 G#4:1 B4:1 C#5:.5 B4:2.5 -:1 "
        "F#4:1 A4:1 B4:1 -:.5 D5:1 E5:1 D5:1 -:.5 E5:1 D5:1 B4:1 G#4:.5 B4:2.5 -:1 "
        "B4:1 C#5:1 D5:1.5 C#5:1 B4:1 F#4:1 -:.5 G#4:1 B4:1 G#4:1 E4:.5 F#4:2.5 -:1",
        "na lo te wa ko me la so no",
    ),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=12,
    chords="G A Bm Bm",
    lanes={
        "punch": "X...x...X...x.",
        "crack": "....X.....X...",
        "open": "x...x...x...x.",
        "crash": f"x............. {'.............. ' * 3}",
        "picked_bass": "R=R=R=R=R=F=O=",
        "guitar": "X...x...X..x..",
        "wall": "o=============",
        "organ": _LONG,
    },
    fill={"crack": "X...X.x.x.xxXX", "tom": "........x.x...", "low_tom": "............xx"},
    melody=sing(
        "D5:2 B4:1.5 C#5:2 E5:1.5 D5:1 C#5:1 B4:1.5 F#4:2.5 -:1 "
        "D5:2 B4:1.5 C#5:2 E5:1.5 F#5:1 E5:1 D5:1.5 B4:2.5 -:1 "
        "G5:2 F#5:1.5 E5:2 C#5:1.5 D5:1 C#5:1 A4:1.5 B4:2.5 -:1",
        "wa no la so we lo ma ta",
    ),
    harmony=True,
)

SEVEN_PIGEONS = Score(
    name="seven-pigeons",
    title="Seven Pigeons",
    rate_hz=48_000,
    tempo_bpm=160.0,
    scale=(1, 2, 4, 6, 7, 9, 11),
    steps=14,
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=4,
            chords="Bm Bm E Bm",
            lanes={"twang": "x.o.x.o.x.o.o.", "picked_bass": "R=r=R=..F=..o=", "hat": "x...x...x....."},
            fill={"crack": "........x.x.xX"},
        ),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2", organ="o============="),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="maze",
            kind="interlude",
            bars=8,
            chords="Em Bm G F#m",
            lanes={
                "punch": "X.....X.....x.",
                "rim": "....x.....x...",
                "picked_bass": "R===r=F=..R=o=",
                "twang": "x.oxx.ox.xo.x.",
                "tine": "o=============",
                "low_tom": "x.......o.....",
            },
            fill={"crack": "x.x.x.x.xxxxXX"},
        ),
        again(_REFRAIN, "refrain 3", twang="x.o.x.o.x.o.o."),
        Part(
            name="outro",
            kind="outro",
            bars=4,
            chords="Bm Bm E Bm",
            lanes=_VERSE.lanes,
            fill={
                "punch": "X.............",
                "crack": "X.............",
                "hat": "..............",
                "crash": "x.............",
                "picked_bass": "R=============",
                "twang": _LONG,
                "guitar": _LONG,
            },
            rings_s=1.5,
        ),
    ),
    levels_db={"twang": 1.0, "wall": -0.5, "guitar": 0.5, "lead": 1.0, "harmony": 1.0, "organ": 1.5},
    guests=PARLOUR,
    peak_dbfs=-2.0,
)
