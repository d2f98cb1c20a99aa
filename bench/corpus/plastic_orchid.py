"""Plastic Orchid: 92 to the minute, B major. Slow, all machines: glass keys, strings, a snare in a hall."""

from __future__ import annotations

from dataclasses import replace

from arsis.demo.score import Part, Score

from .horns import PLAYERS
from .parts import BACKBEAT, CRASH, EIGHTHS, REST, WHOLE, again, sing

_TOMS = {"tom": "........x.x.....", "low_tom": "............x.x."}

_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords="B G#m E F# B D#m E F#",
    lanes={
        "thud": "X.......x.x.....",
        "slab": "....x.......x...",
        "hat": EIGHTHS,
        "saw_bass": "r===..r=R=====r=",
        "tine": "x=====o===o=o===",
        "haze": "-===============",
    },
    fill=_TOMS,
    melody=sing(
        "-:1 F#4:.5 B4:.5 C#5:1 D#5:1 C#5:.5 B4:1.5 G#4:1 -:1 -:1 G#4:.5 B4:.5 C#5:1 B4:1 A#4:3 -:1 "
        "-:1 F#4:.5 B4:.5 C#5:1 D#5:1 F#5:.5 D#5:1.5 A#4:1 -:1 -:1 B4:.5 C#5:.5 D#5:1 B4:1 C#5:3 -:1",
        "lo na we sa mo la te no wa",
    ),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="E F# D#m G#m E F# B B",
    lanes={
        "thud": "X.....x.X.x.....",
        "slab": BACKBEAT,
        "clap": "....x.......x...",
        "hat": "x.xxx.x.x.xxx.x.",
        "saw_bass": "R=rrR=rrR=rrR=rr",
        "tine": "x==x==x=x==x==x=",
        "stab": "o=====o=======o=",
        "pad": WHOLE,
        "haze": "o===============",
        "guitar": "x=======o=======",
        "pluck": "x.o.x.o.x.o.x.o.",
    }
    | CRASH,
    fill=_TOMS | {"slab": "....X..........X"},
    melody=sing(
        "G#4:.5 B4:.5 E5:1.5 D#5:.5 B4:1 C#5:2 A#4:1 -:1 F#4:.5 A#4:.5 D#5:1.5 C#5:.5 A#4:1 B4:3 -:1 "
        "G#4:.5 B4:.5 E5:1.5 F#5:.5 G#5:1 F#5:2 C#5:1 -:1 D#5:1 C#5:1 B4:1 C#5:1 B4:3 -:1",
        "wa lo na so me la we no ta",
    ),
    harmony=True,
)

PLASTIC_ORCHID = Score(
    name="plastic-orchid",
    title="Plastic Orchid",
    rate_hz=48_000,
    tempo_bpm=92.0,
    scale=(1, 3, 4, 6, 8, 10, 11),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=2,
            chords="B E",
            lanes={"tine": "x=====o===o=x===", "haze": WHOLE, "pluck": "o...o...o...o..."},
            fill=_TOMS,
            fader_db=1.5,
        ),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2", guitar="o.......o.......", shaker="x-o-x-o-x-o-x-o-"),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="outro",
            kind="outro",
            bars=4,
            chords="E F# B B",
            lanes={
                "thud": "X.......x.x.....",
                "slab": "....x.......x...",
                "saw_bass": "R===..r=R=====r=",
                "tine": "x=====o===o=x===",
                "pad": "o===============",
                "haze": WHOLE,
            },
            fill={"thud": "X...............", "slab": REST, "saw_bass": "R===============", "tine": WHOLE},
            rings_s=2.5,
        ),
    ),
    levels_db={
        "thud": -0.5,
        "slab": -1.5,
        "saw_bass": 1.0,
        "tine": 2.0,
        "haze": 1.0,
        "tom": -1.0,
        "low_tom": -1.0,
    },
    guests=PLAYERS | {"slab": replace(PLAYERS["slab"], room_db=-6.0)},
    peak_dbfs=-1.6,
)
