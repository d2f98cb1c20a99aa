"""Kite Weather: 128 to the minute, D flat major. Bright pop: machines, a guitar, a rise to each refrain."""

from __future__ import annotations

from arsis.demo.score import Part, Score

from .band import GUESTS
from .parts import BACKBEAT, BEAT, CRASH, WHOLE, again, sing

_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords="Db Ab Bbm Gb Db Ab Gb Ab",
    lanes={
        "thud": "X.......X.......",
        "clap": "....o.......o...",
        "hat": "x.o.x.o.x.o.x.o.",
        "saw_bass": "r=r=r=r=r=r=r=r=",
        "twang": "x.o.x.o.x.o.x.o.",
        "keys": "x=======o=======",
    },
    melody=sing(
        "-:1 Ab4:.5 Ab4:.5 Bb4:1 Ab4:1 F4:2 Eb4:1 -:1 -:1 F4:.5 F4:.5 Ab4:1 Bb4:1 Ab4:3 -:1 "
        "-:1 Ab4:.5 Ab4:.5 Bb4:1 C5:1 Db5:2 Bb4:1 -:1 -:1 Ab4:.5 F4:.5 Gb4:1 F4:1 Eb4:3 -:1",
        "na te lo wa se me no ka la so wo ta ma",
    ),
)
_RISE = Part(
    name="rise 1",
    kind="pre_chorus",
    bars=4,
    chords="Gb Ab Gb Ab",
    lanes={
        "thud": BEAT,
        "hat": "x.x.x.x.x.x.x.x.",
        "saw_bass": "R=r=R=r=R=r=R=r=",
        "stab": "o===============",
        "keys": "x=======x=======",
        "guitar": "o=======o=======",
        "pluck": "o.o.o.o.o.o.o.o.",
    },
    fill={"thud": "X...............", "crack": "........o.o.xxxx"},
    melody=sing("Gb4:1 Ab4:1 Bb4:1 Db5:1 C5:3 -:1 Bb4:1 C5:1 Db5:1 Eb5:1 C5:3 -:1", "lo na we so ma"),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="Gb Ab Bbm Db Gb Ab Gb Db",
    lanes={
        "thud": "X..x..x.X..x..x.",
        "crack": BACKBEAT,
        "clap": BACKBEAT,
        "open": "..x...x...x...x.",
        "jingle": "x.o.x.o.x.o.x.o.",
        "saw_bass": "R=RrR=r=R=RrR=o=",
        "stab": "X=====x=x===x===",
        "guitar": "x===x===x===x===",
        "pluck": "x..x..x.x..x..x.",
    }
    | CRASH,
    fill={"crack": "....x.....x.x.xx"},
    melody=sing(
        "F5:1 Eb5:1 Db5:1.5 Bb4:.5 Ab4:2 Db5:2 Eb5:1 Db5:1 Eb5:1.5 F5:.5 Db5:3 -:1 "
        "F5:1 Eb5:1 Db5:1.5 Bb4:.5 Ab4:2 Db5:2 Gb5:1 F5:1 Eb5:1 C5:1 Db5:3 -:1",
        "wa lo la no te ma so we la no ta wo",
    ),
    harmony=True,
)

KITE_WEATHER = Score(
    name="kite-weather",
    title="Kite Weather",
    rate_hz=44_100,
    tempo_bpm=128.0,
    scale=(0, 1, 3, 5, 6, 8, 10),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=4,
            chords="Db Ab Bbm Gb",
            lanes={
                "twang": "x.o.x.o.x.o.x.o.",
                "stab": "o===============",
                "keys": "x=======o=======",
                "hat": "x...x...x...x...",
            },
        ),
        _VERSE,
        _RISE,
        _REFRAIN,
        again(_VERSE, "verse 2", thud=BEAT, shaker="o-x-o-x-o-x-o-x-"),
        again(_RISE, "rise 2"),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="outro",
            kind="outro",
            bars=4,
            chords="Gb Ab Bbm Db",
            lanes={
                "twang": "x.o.x.o.x.o.x.o.",
                "stab": WHOLE,
                "keys": WHOLE,
                "saw_bass": "R===============",
                "thud": BEAT,
            },
            fill={"twang": WHOLE, "thud": "X..............."},
            rings_s=2.0,
        ),
    ),
    levels_db={"thud": -1.0, "saw_bass": 1.0, "keys": 2.0},
    guests=GUESTS,
    peak_dbfs=-1.8,
)
