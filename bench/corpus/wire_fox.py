"""Wire Fox: 172 to the minute, G minor. Broken beats at speed over a slow bass, a voice in long notes."""

from __future__ import annotations

from arsis.demo.score import Part, Score

from .horns import PLAYERS
from .parts import CRASH, REST, WHOLE, again, sing

_BREAK = {
    "punch": "X.X.......X..... X.........X..x..",
    "crack": "....X..-.-..X..- ....X..-.-....X.",
    "hat": "x.o.x.o.x.o.x.o.",
}
_LONG = "R=======r======="

_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=16,
    chords="Gm Gm Eb Eb Cm Cm F F",
    lanes=_BREAK | {"sub": _LONG, "tine": "x=====o=..x=....", "haze": "-==============="},
    fill={"crack": "....X..-.x.xX.xX"},
    melody=" ".join(
        2
        * [
            sing(
                "D5:3 Bb4:1 C5:2 D5:1 -:1 Bb4:3 G4:1 Bb4:2 -:2 Eb5:3 D5:1 C5:2 G4:1 -:1 A4:3 C5:1 A4:2 -:2",
                "no wa le so ma la",
            )
        ]
    ),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=16,
    chords="Eb Eb F F Gm Gm Bb Bb",
    lanes={
        "punch": "X.X.......X..... X.X.......X..x..",
        "crack": "....X..-.-..X..- ....X..-.-..X.-x",
        "hat": "x.oxx.oxx.oxx.ox",
        "ride": "x...x...x...x...",
        "sub": "R=====R===......",
        "saw_bass": "R===r=R=....r=f=",
        "stab": "x==...x==.......",
        "tine": "x=====o=..x=....",
        "haze": "o===============",
        "pluck": "o..o..o.o..o..o.",
    }
    | CRASH,
    fill={"crack": "....X..xx.xxXxXX"},
    melody=" ".join(
        2
        * [
            sing(
                "G5:3 F5:1 Eb5:2 Bb4:1 -:1 F5:3 Eb5:1 C5:3 -:1 D5:3 F5:1 G5:2 D5:1 -:1 F5:2 D5:2 Bb4:3 -:1",
                "wa lo na me so la we",
            )
        ]
    ),
    harmony=True,
)

WIRE_FOX = Score(
    name="wire-fox",
    title="Wire Fox",
    rate_hz=44_100,
    tempo_bpm=172.0,
    scale=(0, 2, 3, 5, 7, 9, 10),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=8,
            chords="Gm Gm Eb Eb",
            lanes={"haze": WHOLE, "tine": "x=====o=..x=....", "hat": "..o...o...o...o."},
            fill={"riser": WHOLE, "crack": "........x.x.xxxX"},
            fader_db=1.5,
        ),
        _VERSE,
        _REFRAIN,
        Part(
            name="break",
            kind="break",
            bars=8,
            chords="Gm Gm Cm Cm Eb Eb F F",
            lanes={"haze": WHOLE, "pluck": "o..o..o.o..o..o.", "ride": "x...x...x...x...", "sub": _LONG},
            fill={"riser": WHOLE, "crack": "........x.x.xxxX"},
        ),
        again(_VERSE, "verse 2", shaker="x-o-x-o-x-o-x-o-"),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="outro",
            kind="outro",
            bars=4,
            chords="Eb F Gm Gm",
            lanes=_BREAK | {"sub": _LONG, "haze": "o===============", "tine": "x=====o=..x=...."},
            fill={"punch": "X...............", "crack": REST, "hat": REST, "tine": WHOLE},
            rings_s=2.0,
        ),
    ),
    levels_db={
        "punch": -1.0,
        "crack": -0.5,
        "sub": -0.5,
        "saw_bass": -5.0,
        "tine": 2.0,
        "haze": 1.5,
        "stab": 1.0,
    },
    guests=PLAYERS,
    glue_dbfs=-25.0,
    peak_dbfs=-0.9,
)
