"""Chrome Heron: 98 to the minute, G sharp minor. A night drive: machines, a snare in a hall, saw chords."""

from __future__ import annotations

from arsis.demo.score import Part, Score

from .parts import BACKBEAT, BEAT, OFFBEAT, REST, WHOLE, again, sing
from .stage import STAGE

_PULSE = "R.r.R.r.R.r.R.o."
_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords="G#m E B F#",
    lanes={
        "thud": "X.......X.......",
        "slab": BACKBEAT,
        "hat": "o-x-o-x-o-x-o-x-",
        "saw_bass": _PULSE,
        "pluck": "o..o..o.o..o.o..",
        "haze": "o===============",
    },
    fill={"slab": "....X.......X.x."},
    melody=sing(
        "-:1 D#5:.5 D#5:.5 C#5:.5 B4:.5 G#4:1 B4:1.5 C#5:.5 B4:1 -:1 "
        "-:1 F#4:.5 B4:.5 C#5:.5 D#5:.5 B4:1 A#4:1.5 C#5:.5 F#4:1 -:1 "
        "-:1 D#5:.5 D#5:.5 E5:.5 D#5:.5 B4:1 G#4:1.5 B4:.5 E5:1 -:1 "
        "-:1 D#5:.5 C#5:.5 B4:.5 C#5:.5 D#5:1 C#5:3 -:1",
        "no wa la se lo me na so we ta",
    ),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="E F# G#m B E F# B F#",
    lanes={
        "thud": BEAT,
        "slab": BACKBEAT,
        "clap": BACKBEAT,
        "hat": "o-x-o-x-o-x-o-x-",
        "open": OFFBEAT,
        "saw_bass": "R.rrR.rrR.rrR.oo",
        "stab": "x=====x=====x===",
        "guitar": "x=======x=====x=",
        "pad": WHOLE,
        "pluck": "x.ox.ox.x.ox.ox.",
        "haze": WHOLE,
    },
    fill={"tom": "........x.x.....", "low_tom": "............x.xX"},
    melody=sing(
        "E5:2 G#4:1 B4:1 C#5:2 A#4:1 -:1 D#5:2 B4:1 G#4:1 F#5:2 D#5:1 -:1 "
        "E5:2 B4:1 E5:1 F#5:2 C#5:1 -:1 D#5:1 F#5:1 D#5:1 B4:1 C#5:3 -:1",
        "wa lo na so me la we no",
    ),
    harmony=True,
)

CHROME_HERON = Score(
    name="chrome-heron",
    title="Chrome Heron",
    rate_hz=44_100,
    tempo_bpm=98.0,
    scale=(1, 3, 4, 6, 8, 10, 11),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=4,
            chords="G#m E B F#",
            lanes={"pluck": "o..o..o.o..o.o..", "haze": "x===============", "saw_bass": _PULSE},
            fill={"low_tom": "............x.xx"},
        ),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2", stab=f"........o======= {REST}"),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="outro",
            kind="outro",
            bars=2,
            chords="E G#m",
            lanes=_VERSE.lanes,
            fill={
                "thud": "X...............",
                "slab": REST,
                "hat": REST,
                "saw_bass": "R===============",
                "pluck": "x...............",
                "stab": "o===============",
                "haze": WHOLE,
            },
            rings_s=2.0,
        ),
    ),
    levels_db={
        "thud": -1.5,
        "slab": -3.5,
        "clap": 4.0,
        "guitar": -1.0,
        "lead": 0.5,
        "harmony": 2.0,
        "pluck": 0.5,
        "haze": 0.5,
        "stab": 0.5,
        "pad": 1.0,
    },
    guests=STAGE,
    glue_dbfs=-23.0,
    peak_dbfs=-1.4,
)
