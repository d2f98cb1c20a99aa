"""Ninth Floor: 90 to the minute, F minor. Hip-hop: a piano loop, a deep kick, a sub under a spoken voice."""

from __future__ import annotations

from dataclasses import replace

from arsis.demo.score import Part, Score

from .band import GUESTS
from .parts import BACKBEAT, REST, WHOLE, again, sing

_LOOP = "Fm Fm Db Eb"
_WORDS = "ka ta no pe si ta lo ka me ta po so ti na ka we"
_LINE = sing(
    "-:.5 F4:.5 F4:.5 Ab4:.5 F4:.5 F4:.5 Eb4:.5 F4:.5 F4:.5 Ab4:.5 Bb4:.5 Ab4:.5 F4:1 -:1 "
    "-:.5 Ab4:.5 Ab4:.5 F4:.5 Ab4:.5 Bb4:.5 Ab4:.5 F4:.5 Eb4:.5 F4:.5 Ab4:.5 G4:.5 Eb4:1 -:1",
    _WORDS,
)
_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=12,
    chords=_LOOP,
    lanes={
        "boom": "X.....x...x..... X..x......x.....",
        "crack": BACKBEAT,
        "hat": "x.o.x.o.x.o.x.ox",
        "sub": "R=====r=..r===.. R==r======f=....",
        "grand": "x=====o=....o=..",
    },
    fill={"crack": "....X.......X..x"},
    melody=f"{_LINE} {_LINE} {_LINE}",
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="Db Eb Fm Fm Db Eb Cm Fm",
    lanes={
        "boom": "X.....x..xx..... X..x......x...x.",
        "crack": BACKBEAT,
        "clap": BACKBEAT,
        "hat": "x.oox.oox.oox.xx",
        "sub": "R=====r=.rr===.. R==r======f===r.",
        "grand": "x=====o=x===o=x=",
        "haze": "o===============",
    },
    fill={"crack": "....X.......X.xx"},
    melody=sing(
        "F5:1.5 Eb5:.5 Db5:1 C5:1 Eb5:2 Bb4:1 -:1 C5:1.5 Bb4:.5 Ab4:1 Bb4:1 C5:3 -:1 "
        "F5:1.5 Eb5:.5 Db5:1 F5:1 Eb5:2 Bb4:1 -:1 C5:1.5 Bb4:.5 G4:1 Bb4:1 Ab4:3 -:1",
        "wa lo na so la me wo ne",
    ),
    harmony=True,
)

NINTH_FLOOR = Score(
    name="ninth-floor",
    title="Ninth Floor",
    rate_hz=44_100,
    tempo_bpm=90.0,
    scale=(0, 1, 3, 5, 7, 8, 10),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=2,
            chords="Fm Db",
            lanes={"grand": "x=====o=....o=..", "hat": "x...x...x...x..."},
        ),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2", rim="...-......-..-..", pluck=f"{REST} ....o..o..o....."),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="outro",
            kind="outro",
            bars=4,
            chords=_LOOP,
            lanes={**_VERSE.lanes, "haze": "-==============="},
            fill={
                "boom": REST,
                "crack": REST,
                "hat": REST,
                "sub": "R===============",
                "grand": WHOLE,
            },
            rings_s=2.0,
        ),
    ),
    levels_db={"boom": -0.5, "sub": -1.0, "clap": -2.0, "grand": 1.5, "lead": 1.0, "haze": 1.0},
    guests=GUESTS | {"grand": replace(GUESTS["grand"], pans=(-0.5, 0.1))},
    peak_dbfs=-1.2,
)
