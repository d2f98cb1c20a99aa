"""Amber Kiosk: 103 to the minute, A flat major. Afropop: a machine's log, a rim in threes, keys."""

from __future__ import annotations

from arsis.demo.score import Part, Score

from .parts import REST, WHOLE, again, sing
from .stage import STAGE

_THREES = "...x..x....x..x."
_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords="Db Ab Eb Fm",
    lanes={
        "thud": "X.......X.x.....",
        "rim": _THREES,
        "shaker": "o-xoo-xoo-xoo-xo",
        "log": "R=....r=..R=..f=",
        "tine": "x=====x=====....",
        "haze": "-===============",
        "twang": "......o.....o.o. ..o...o.........",
    },
    melody=sing(
        "-:1 F4:.5 Ab4:.5 Ab4:.5 Ab4:.5 F4:.5 Ab4:.5 C5:.5 Bb4:.5 Ab4:1 Eb4:1 -:1 "
        "-:.5 G4:.5 Bb4:.5 G4:.5 Bb4:1 G4:.5 Bb4:.5 Ab4:1.5 F4:.5 C4:1 -:1 "
        "-:1 Ab4:.5 C5:.5 Db5:.5 C5:.5 Ab4:.5 F4:.5 Eb4:.5 Ab4:.5 C5:1 Ab4:1 -:1 "
        "-:.5 Bb4:.5 Bb4:.5 G4:.5 Eb5:1 Db5:.5 Bb4:.5 C5:1 Ab4:1 F4:1 -:1",
        "na lo wa ma ne la wo ta we mo",
    ),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="Db Eb Fm Cm Db Eb Ab Ab",
    lanes={
        "thud": "X..x..x.X..x..x.",
        "clap": _THREES,
        "rim": _THREES,
        "shaker": "x-xox-xox-xox-xo",
        "conga": "..o...oo..o..xoo",
        "log": "R=..r=r=..R=f=o=",
        "tine": "x=====o=====o===",
        "marimba": "x.o..x.o.x..o.x.",
        "haze": "o===============",
        "twang": "..o...o...o.o...",
    },
    fill={"crack": "............x.xx"},
    melody=sing(
        "F5:1 Eb5:.5 Db5:.5 F5:1 Ab4:1 G4:.5 Bb4:.5 Eb5:1 Bb4:1 -:1 "
        "C5:1 Ab4:.5 C5:.5 F5:1 C5:1 Eb5:1.5 C5:.5 G4:1 -:1 "
        "F5:1 Eb5:.5 Db5:.5 F5:1 Db5:1 Eb5:.5 G5:.5 Eb5:1 Bb4:1 -:1 "
        "C5:1 Eb5:.5 C5:.5 Ab4:1 C5:1 Eb5:3 -:1",
        "wa lo na me la so we no",
    ),
    harmony=True,
)

AMBER_KIOSK = Score(
    name="amber-kiosk",
    title="Amber Kiosk",
    rate_hz=44_100,
    tempo_bpm=103.0,
    scale=(0, 1, 3, 5, 7, 8, 10),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=4,
            chords="Db Ab Eb Fm",
            lanes={
                "tine": "o=====o=====....",
                "marimba": "o.o..o.o.o..o.o.",
                "shaker": "o-xoo-xoo-xoo-xo",
                "log": f"R===============  {REST}",
            },
            fill={"clap": "............x.x."},
            fader_db=1.5,
        ),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2", conga="......o.......oo"),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="outro",
            kind="outro",
            bars=2,
            chords="Db Ab",
            lanes={**_VERSE.lanes, "marimba": "o.o..o.o.o..o.o."},
            fill={
                "thud": "X...............",
                "rim": REST,
                "shaker": REST,
                "log": "R=======........",
                "tine": WHOLE,
                "twang": REST,
                "marimba": "x...............",
            },
            rings_s=1.5,
        ),
    ),
    levels_db={
        "thud": -1.5,
        "shaker": 4.5,
        "tine": 2.0,
        "marimba": -1.0,
        "rim": 1.0,
        "lead": -0.5,
        "harmony": 1.0,
    },
    guests=STAGE,
    peak_dbfs=-1.5,
)
