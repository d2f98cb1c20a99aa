"""Chequer Bus: 148 to the minute, B flat major. Fast offbeats: a walking bass, organ, horns, a loud kit."""

from __future__ import annotations

from arsis.demo.score import Part, Score

from .horns import PLAYERS
from .parts import BACKBEAT, BEAT, CRASH, OFFBEAT, REST, again, sing

_WALK = "R=..r=..F=..r=.. R=..F=..o=..f=.."
_HORNS = "x.x...X=..x=.... ....x.x=..X===.."
_FILL = {"crack": "....X...X.xxXxXX", "tom": "........x......."}
_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=16,
    chords="Bb Gm Eb F Bb Gm Eb F Eb F Gm Gm Eb F Bb F",
    lanes={
        "punch": "....X.......X...",
        "rim": BACKBEAT,
        "hat": "x.x.x.x.x.x.x.xo",
        "bass": _WALK,
        "guitar": "..X...X...X...X.",
        "organ": "..o-..o-..o-..o-",
    },
    fill=_FILL,
    melody=sing(
        "-:.5 F4:.5 Bb4:.5 Bb4:.5 C5:.5 Bb4:.5 G4:1 -:.5 G4:.5 Bb4:.5 G4:.5 F4:1 -:1 "
        "-:.5 G4:.5 Bb4:.5 Bb4:.5 C5:.5 D5:.5 C5:1 A4:2 -:2 "
        "-:.5 F4:.5 Bb4:.5 Bb4:.5 C5:.5 Bb4:.5 G4:1 -:.5 Bb4:.5 D5:.5 Bb4:.5 G4:1 -:1 "
        "-:.5 G4:.5 G4:.5 Bb4:.5 C5:.5 Bb4:.5 G4:1 F4:2 -:2 "
        "Eb5:1 D5:.5 C5:.5 Bb4:1 G4:1 F4:1 G4:.5 A4:.5 C5:1 -:1 D5:1 C5:.5 Bb4:.5 G4:2 -:4 "
        "Eb5:1 D5:.5 C5:.5 Bb4:1 G4:1 A4:1 C5:1 Eb5:1 C5:1 Bb4:3 -:5",
        "ta no ka la te wo pe na so ko la me",
    ),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=16,
    chords="Eb F Bb Gm Eb F Bb Bb",
    lanes={
        "punch": BEAT,
        "crack": BACKBEAT,
        "hat": "x...x...x...x...",
        "open": OFFBEAT,
        "bass": "R=r=R=r=F=f=R=f= R=r=F=f=O=o=F=f=",
        "guitar": "..X...X...X...Xo",
        "organ": "o-x-o-x-o-x-o-x-",
        "brass": f"{_HORNS} {REST} x.x.X=....x.X=..",
        "jingle": "x.o.x.o.x.o.x.o.",
    }
    | CRASH,
    fill=_FILL,
    melody=" ".join(
        2
        * [
            sing(
                "G4:.5 Bb4:.5 Eb5:1.5 D5:.5 C5:1 C5:.5 A4:.5 F4:1 A4:1 C5:1 D5:2 Bb4:1 -:1 Bb4:3 -:1 "
                "G4:.5 Bb4:.5 Eb5:1.5 F5:.5 Eb5:1 D5:.5 C5:.5 A4:1 C5:1 F5:1 D5:2 C5:1 -:1 Bb4:3 -:1",
                "wa lo na so te la ma no ka wo",
            )
        ]
    ),
    harmony=True,
)

CHEQUER_BUS = Score(
    name="chequer-bus",
    title="Chequer Bus",
    rate_hz=44_100,
    tempo_bpm=148.0,
    scale=(0, 2, 3, 5, 7, 9, 10),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=4,
            chords="Bb Gm Eb F",
            lanes={**_VERSE.lanes, "crack": REST, "brass": _HORNS},
            fill=_FILL,
        ),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2", brass=f"{REST} {REST} {REST} ..........x.X=..", shaker="..x...x...x...x."),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="outro",
            kind="outro",
            bars=2,
            chords="F Bb",
            lanes={lane: line for lane, line in _REFRAIN.lanes.items() if lane != "crash"},
            fill={
                "punch": "X...............",
                "crack": "X...............",
                "hat": REST,
                "open": REST,
                "bass": "R===............",
                "guitar": "X==.............",
                "organ": "X===............",
                "brass": "X===............",
                "jingle": REST,
            },
        ),
    ),
    levels_db={"punch": -2.0, "crack": -1.0, "guitar": -1.0, "organ": 1.5, "bass": 1.0, "brass": 0.5},
    guests=PLAYERS,
    glue_dbfs=-25.0,
    peak_dbfs=-1.2,
)
