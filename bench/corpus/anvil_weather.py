"""Anvil Weather: 190 to the minute, D minor. Fast metal: galloping guitars, double kicks, a high voice."""

from __future__ import annotations

from arsis.demo.score import Part, Score

from .parlour import PARLOUR
from .parts import BACKBEAT, CRASH, REST, WHOLE, again, sing

_GALLOP = "x=xxx=xxx=xxx=xx"
_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=16,
    chords="Dm Dm Bb C Dm Dm Gm A",
    lanes={
        "punch": "X.xxX.xxX.xxX.xx",
        "crack": BACKBEAT,
        "hat": "x...x...x...x...",
        "picked_bass": "R=rrR=rrR=rrR=rr",
        "wall": _GALLOP,
    },
    fill={"crack": "....X...x.x.xXXX", "tom": "........x.x....."},
    melody=sing(
        "D5:2 A4:1 D5:1 F5:2 E5:1 -:1 D5:2 F5:1 D5:1 C5:3 -:1 "
        "D5:2 A4:1 D5:1 F5:2 D5:1 -:1 G5:2 F5:1 D5:1 E5:3 -:1 "
        "A4:2 D5:1 E5:1 F5:3 -:1 F5:2 D5:1 Bb4:1 G4:3 -:1 A4:2 F5:1 E5:1 D5:3 -:1 Bb4:2 D5:1 G5:1 E5:3 -:1",
        "na wo le ta ko so ma lo",
    ),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=16,
    chords="Bb F C Dm Bb F A A Bb F C Dm Gm A Dm Dm",
    lanes={
        "punch": "XxxxXxxxXxxxXxxx X.x.X.x.X.x.XxXx",
        "crack": BACKBEAT,
        "open": "x...x...x...x...",
        "picked_bass": "R=R=R=R=R=R=F=O=",
        "wall": "X=======x===x===",
        "guitar": "x===============",
        "pad": WHOLE,
    }
    | CRASH,
    fill={"crack": "X.x.X.x.XxXxXXXX", "tom": "x.x.x.x.........", "low_tom": "........x.x.x.x."},
    melody=sing(
        "D5:3 F5:1 A5:2 F5:1 -:1 E5:3 G5:1 F5:3 -:1 D5:3 F5:1 A5:2 C5:1 -:1 C#5:3 E5:1 A5:3 -:1 "
        "Bb5:3 A5:1 A5:2 F5:1 -:1 G5:3 E5:1 F5:3 -:1 G5:3 D5:1 E5:2 C#5:2 D5:4 A4:3 -:1",
        "wa lo na se no we la ma",
    ),
    harmony=True,
)

ANVIL_WEATHER = Score(
    name="anvil-weather",
    title="Anvil Weather",
    rate_hz=48_000,
    tempo_bpm=190.0,
    scale=(0, 2, 4, 5, 7, 9, 10),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=4,
            chords="Dm Dm Bb C",
            lanes={"wall": _GALLOP, "hat": "x...x...x...x...", "low_tom": "x.......x......."},
            fill={"crack": "x.x.x.x.XxXxXXXX"},
        ),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2", twang="....o.......o..."),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="outro",
            kind="outro",
            bars=4,
            chords="Bb C Dm Dm",
            lanes=_VERSE.lanes,
            fill={
                "punch": "X...............",
                "crack": "X...............",
                "hat": REST,
                "crash": "x...............",
                "picked_bass": "R===============",
                "wall": "X===============",
            },
            rings_s=2.0,
        ),
    ),
    levels_db={
        "lead": 2.5,
        "harmony": 2.0,
        "punch": -1.5,
        "wall": -0.5,
        "crack": 1.0,
        "guitar": -2.0,
        "pad": 2.0,
    },
    guests=PARLOUR,
    glue_dbfs=-23.0,
    peak_dbfs=-1.2,
)
