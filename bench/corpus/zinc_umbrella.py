"""Zinc Umbrella: 156 to the minute, B minor. Post-punk: the bass leads, a ringing guitar."""

from __future__ import annotations

from arsis.demo.score import Part, Score

from .parts import BACKBEAT, CRASH, EIGHTHS, REST, WHOLE, again, sing
from .stage import STAGE

_BASS = "R=R=R=R=R=R=F=O= R=R=R=R=O=O=F=F="
_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords="Bm Bm G A Bm Bm G A",
    lanes={
        "punch": "X.....x.X.......",
        "crack": BACKBEAT,
        "hat": EIGHTHS,
        "picked_bass": _BASS,
        "twang": "x.o.x.o.x.o.x.o.",
    },
    fill={"crack": "....X.......X.xx"},
    melody=sing(
        "F#4:1.5 F#4:.5 F#4:1 E4:1 F#4:2 -:2 G4:1.5 G4:.5 F#4:1 D4:1 E4:2 -:2 "
        "B4:1.5 B4:.5 A4:1 F#4:1 F#4:2 -:2 G4:1 B4:1 A4:1 G4:1 A4:3 -:1",
        "no wa lo ka me ta so la we",
    ),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="G D A Bm G D A A",
    lanes={
        "punch": "X.....x.X.x...x.",
        "crack": BACKBEAT,
        "open": "x...x...x...x...",
        "jingle": "x.o.x.o.x.o.x.o.",
        "picked_bass": "R=R=R=R=R=R=F=O=",
        "twang": "x.o.x.o.x.o.x.o.",
        "guitar": "X=..x=x=x=..x=x=",
        "pad": WHOLE,
    }
    | CRASH,
    fill={"crack": "....X...x.x.XxXX"},
    melody=sing(
        "D5:2 B4:1 D5:1 F#5:2 D5:1 -:1 E5:2 C#5:1 A4:1 B4:3 -:1 "
        "D5:2 B4:1 G4:1 A4:2 D5:1 F#5:1 E5:3 C#5:1 A4:3 -:1",
        "wa lo na so ne we la ma",
    ),
    harmony=True,
)

ZINC_UMBRELLA = Score(
    name="zinc-umbrella",
    title="Zinc Umbrella",
    rate_hz=44_100,
    tempo_bpm=156.0,
    scale=(1, 2, 4, 6, 7, 9, 11),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=4,
            chords="Bm Bm G A",
            lanes={"picked_bass": _BASS, "punch": "X.......X.......", "hat": EIGHTHS},
            fill={"crack": "........x.x.XxXX"},
        ),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2", pad="o==============="),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="break",
            kind="bridge",
            bars=4,
            chords="Em Em G A",
            lanes={
                "punch": "X...X...X...X...",
                "low_tom": "x..x..x.x..x..x.",
                "jingle": BACKBEAT,
                "picked_bass": _BASS,
                "twang": "x...o...x...o...",
                "pad": "x===============",
            },
            fill={"crack": "x.x.x.x.XxXxXXXX"},
        ),
        again(_REFRAIN, "refrain 3"),
        Part(
            name="outro",
            kind="outro",
            bars=2,
            chords="G Bm",
            lanes=_VERSE.lanes,
            fill={
                "punch": "X...............",
                "crack": "X...............",
                "hat": REST,
                "crash": "x...............",
                "picked_bass": "R===============",
                "twang": WHOLE,
                "pad": WHOLE,
            },
            rings_s=2.0,
        ),
    ),
    levels_db={"punch": -1.5, "crack": -1.0, "picked_bass": 1.0, "pad": 1.5, "guitar": -1.0, "lead": 0.5},
    guests=STAGE,
    glue_dbfs=-23.0,
    peak_dbfs=-1.8,
)
