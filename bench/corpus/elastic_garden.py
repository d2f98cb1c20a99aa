"""Elastic Garden: 136 to the minute, D major. Mallet pop: two marimbas interlocked, hand claps, a bass."""

from __future__ import annotations

from arsis.demo.score import Part, Score

from .parlour import PARLOUR
from .parts import BEAT, REST, again, sing

_LOCK = "x.oxo.x.oxo.xo.o"
_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords="D Bm7 G A D Bm7 Em7 A",
    lanes={
        "thud": "X.....x.X.......",
        "rim": "....x.......x.x.",
        "marimba": _LOCK,
        "bass": "R=..r=..F=..r=.. R=..r=..f=o=r=..",
        "shaker": "o-x-o-x-o-x-o-x-",
    },
    fill={"clap": "........x.x.xxxx"},
    melody=sing(
        "-:1 F#4:.5 A4:.5 D5:1 C#5:.5 D5:.5 B4:1.5 A4:.5 F#4:1 -:1 "
        "-:1 G4:.5 B4:.5 D5:1 B4:.5 C#5:.5 A4:3 -:1 "
        "-:1 F#4:.5 A4:.5 D5:1 E5:.5 D5:.5 B4:1.5 D5:.5 F#5:1 -:1 "
        "E5:1 D5:.5 B4:.5 G4:1 B4:1 A4:3 -:1",
        "la ta no we ko so lu ma",
    ),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="G A F#m7 Bm G A D D",
    lanes={
        "thud": BEAT,
        "clap": "....X.......X.x.",
        "jingle": "..x...x...x...x.",
        "marimba": "x.oxo.x.oxo.xoxo",
        "vibes": "x=====x=....o=..",
        "bass": "R=R=r=..R=f=r=o=",
        "guitar": "..x...x...x..x..",
        "haze": "o===============",
    },
    fill={"clap": "x.x.X.x.xxxxXXXX"},
    melody=sing(
        "B4:.5 D5:.5 G5:1 F#5:1 D5:1 E5:1.5 C#5:.5 A4:1 -:1 A4:.5 C#5:.5 E5:1 F#5:1 C#5:1 D5:2 B4:1 -:1 "
        "B4:.5 D5:.5 G5:1 A5:1 G5:1 F#5:1.5 E5:.5 C#5:1 E5:1 D5:3 A4:1 F#4:3 -:1",
        "wa no la se lo ma na we",
    ),
    harmony=True,
)

ELASTIC_GARDEN = Score(
    name="elastic-garden",
    title="Elastic Garden",
    rate_hz=48_000,
    tempo_bpm=136.0,
    scale=(1, 2, 4, 6, 7, 9, 11),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=4,
            chords="D Bm7 G A",
            lanes={"marimba": _LOCK, "shaker": "o-x-o-x-o-x-o-x-", "bass": "R=======........"},
            fader_db=1.5,
        ),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2", twang="..x=......o=...."),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="greenhouse",
            kind="bridge",
            bars=4,
            chords="Bm G Em7 A",
            lanes={
                "marimba": "xoxoxoxoxoxoxoxo",
                "vibes": "x===============",
                "thud": "X...............",
                "bass": "R===============",
                "haze": "o===============",
            },
            fill={"clap": "x...x...x.x.xxXX"},
            melody=sing("F#5:2 E5:1 D5:1 B4:3 -:1 G4:2 B4:1 D5:1 C#5:3 -:1", "no wa lo me"),
        ),
        again(_REFRAIN, "refrain 3", pluck="o...o.o...o.o..."),
        Part(
            name="outro",
            kind="outro",
            bars=4,
            chords="G A D D",
            lanes=_VERSE.lanes,
            fill={
                "thud": "X...............",
                "rim": REST,
                "shaker": REST,
                "bass": "R===............",
                "marimba": "x.o.x.o.x.......",
                "vibes": "x===============",
            },
            rings_s=1.5,
        ),
    ),
    levels_db={"thud": -1.5, "marimba": -1.0, "clap": 2.0, "shaker": 5.0, "guitar": 0.5, "haze": 1.0},
    guests=PARLOUR,
    peak_dbfs=-3.0,
)
