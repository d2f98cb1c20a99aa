"""Slow Machine: 102 to the minute, F sharp minor. Electronic: a sub, broken kicks, haze and small bells."""

from __future__ import annotations

from dataclasses import replace

from arsis.demo.score import Part, Score

from .band import GUESTS
from .parts import BACKBEAT, WHOLE, again, sing

_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords="F#m D A E F#m D Bm C#m",
    lanes={
        "thud": "X.....x...x..... X.....x...x..x..",
        "clap": BACKBEAT,
        "hat": "x.ox.ox.x.ox.ox.",
        "sub": "R=====r=..r===.. R=====r=..f===..",
        "tine": "x=..o=..x=..o=..",
        "haze": "o===============",
    },
    melody=sing(
        "-:1 C#5:1 B4:.5 A4:.5 F#4:1 A4:2 -:2 -:1 C#5:1 B4:.5 A4:.5 E4:1 G#4:2 -:2 "
        "-:1 C#5:1 B4:.5 C#5:.5 A4:1 F#4:2 -:2 -:1 D5:1 C#5:.5 B4:.5 D5:1 C#5:2 -:2",
        "no ta la we so me lo na",
    ),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="D A F#m E D A F#m C#m",
    lanes={
        "thud": "X.....x.X.x..... X.....x.X.x..x..",
        "clap": BACKBEAT,
        "hat": "x.oxxoxox.oxxoxo",
        "sub": "R=====r=R=r===.. R=====r=R=f===..",
        "tine": "x=..o=x=x=..o=x=",
        "haze": WHOLE,
        "stab": "o=====o=..o=====",
        "pluck": "o.o.o.oxo.o.o.ox",
    },
    melody=sing(
        "F#5:2 E5:1 D5:1 C#5:3 -:1 A4:2 C#5:1 E5:1 B4:3 -:1 "
        "F#5:2 E5:1 F#5:1 A5:2 E5:1 -:1 C#5:2 B4:1 A4:1 G#4:3 -:1",
        "wa lo ne so la mo",
    ),
    harmony=True,
)

SLOW_MACHINE = Score(
    name="slow-machine",
    title="Slow Machine",
    rate_hz=44_100,
    tempo_bpm=102.0,
    scale=(1, 2, 4, 6, 8, 9, 11),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=4,
            chords="F#m D A E",
            lanes={"haze": WHOLE, "tine": "x=..o=..x=..o=..", "hat": "..o...o...o...o."},
        ),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2", rim="...o......o....."),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="break",
            kind="break",
            bars=4,
            chords="Bm D F#m E",
            lanes={"haze": WHOLE, "sub": "R===============", "pluck": "o.o.o.oxo.o.o.ox"},
            fill={"riser": WHOLE, "thud": "........x...x.xx"},
        ),
        again(_REFRAIN, "refrain 3", open="..o...o...o...o."),
        Part(
            name="outro",
            kind="outro",
            bars=4,
            chords="F#m D A F#m",
            lanes={"haze": "o===============", "tine": "x=..o=..x=..o=..", "sub": "r==============="},
            fill={"tine": WHOLE},
            rings_s=2.5,
        ),
    ),
    levels_db={"thud": -1.0, "clap": 1.0, "sub": -1.0, "tine": 2.0, "haze": 1.0, "lead": -0.5},
    guests=GUESTS | {"rim": replace(GUESTS["rim"], pans=(-0.5,))},
    peak_dbfs=-1.8,
)
