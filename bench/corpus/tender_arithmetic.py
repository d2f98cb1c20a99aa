"""Tender Arithmetic: 78 to the minute, A flat major. Slow soul: electric piano, a talking bass, an organ."""

from __future__ import annotations

from dataclasses import replace

from arsis.demo.score import Part, Score

from .band import GUESTS
from .parts import EIGHTHS, REST, WHOLE, again, sing

_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords="Abmaj7 Fm7 Dbmaj7 Eb7 Abmaj7 Cm7 Bbm7 Eb7",
    lanes={
        "kick": "X..o....x.o.....",
        "crack": "....x.-.....x..-",
        "hat": "x-o-x-o-x-o-x-oo",
        "bass": "R==.r.f=R=.ro=f=",
        "tine": "x=====x=o=====x=",
        "guitar": "....o.......o.-.",
        "organ": "-===============",
    },
    melody=sing(
        "-:.5 Eb4:.5 Ab4:.5 Bb4:.5 C5:1 Bb4:.5 Ab4:.5 F4:2 -:2 "
        "-:.5 F4:.5 Ab4:.5 Bb4:.5 C5:1 Db5:.5 C5:.5 Bb4:2 -:2 "
        "-:.5 Eb4:.5 Ab4:.5 Bb4:.5 C5:1 Eb5:1 C5:1.5 Bb4:.5 G4:1 -:1 "
        "-:.5 F4:.5 Ab4:.5 C5:.5 Bb4:1 Ab4:1 G4:2 -:2",
        "na lo we ta mo la so me no wa ne",
    ),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="Dbmaj7 Eb7 Cm7 Fm7 Dbmaj7 Eb7 Bbm7 Abmaj7",
    lanes={
        "kick": "X..o..x.x.o.....",
        "crack": "....X.-.....X..-",
        "hat": EIGHTHS,
        "jingle": "....x.......x...",
        "bass": "R==rr.f=R=.rO=fo",
        "tine": "x==x==x=x==x==x=",
        "guitar": "..o.x.....o.x.-.",
        "organ": "o=======o=======",
        "pad": "o===============",
    },
    fill={"crack": "....X.-.o.x.X.xx"},
    melody=sing(
        "Ab4:.5 C5:.5 F5:1 Eb5:1 C5:1 Eb5:2 Db5:1 -:1 G4:.5 C5:.5 Eb5:1 Db5:1 C5:1 C5:2 Ab4:1 -:1 "
        "Ab4:.5 C5:.5 F5:1 Eb5:1 F5:1 G5:2 Eb5:1 -:1 Db5:1 C5:1 Bb4:1 G4:1 Ab4:3 -:1",
        "wa lo na so me la wo ta ne",
    ),
    harmony=True,
)

TENDER_ARITHMETIC = Score(
    name="tender-arithmetic",
    title="Tender Arithmetic",
    rate_hz=48_000,
    tempo_bpm=78.0,
    scale=(0, 1, 3, 5, 7, 8, 10),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=2,
            chords="Abmaj7 Eb7",
            lanes={
                "tine": "x=====x=o=====x=",
                "bass": "R=======R=====f=",
                "hat": "x-o-x-o-x-o-x-oo",
                "organ": "o===============",
            },
            fader_db=2.0,
        ),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2", pluck="......o...o....."),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="outro",
            kind="outro",
            bars=2,
            chords="Dbmaj7 Abmaj7",
            lanes=_VERSE.lanes,
            fill={
                "kick": "x...............",
                "crack": REST,
                "hat": REST,
                "bass": "R===============",
                "tine": WHOLE,
                "guitar": REST,
                "organ": "o===============",
            },
            rings_s=2.5,
        ),
    ),
    levels_db={"kick": -2.0, "crack": -2.0, "guitar": -2.0, "organ": 0.5, "lead": -0.5, "pad": 1.0},
    guests=GUESTS | {"tine": replace(GUESTS["tine"], pans=(-0.6, 0.3))},
    peak_dbfs=-3.0,
)
