"""Magnet Sky: 125 to the minute, A minor. Dance: four on the floor, a bass off the beat, saw chords."""

from __future__ import annotations

from arsis.demo.score import Part, Score

from .band import GUESTS
from .parts import BACKBEAT, BEAT, CRASH, EIGHTHS, OFFBEAT, REST, WHOLE, again, sing

_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords="Am F C G",
    lanes={
        "thud": BEAT,
        "clap": "....x.......x...",
        "hat": EIGHTHS,
        "saw_bass": "..R=..r=..R=..r=",
        "stab": "o==o==o=..o=o=..",
        "keys": WHOLE,
    },
    melody=sing(
        "E5:.5 E5:.5 D5:.5 C5:.5 A4:1 C5:1 A4:2 -:2 E5:.5 E5:.5 D5:.5 C5:.5 G4:1 C5:1 B4:2 -:2 "
        "E5:.5 E5:.5 D5:.5 C5:.5 A4:1 C5:1 D5:1 C5:1 A4:1 -:1 G4:.5 A4:.5 C5:.5 D5:.5 E5:1 C5:1 D5:2 -:2",
        "ta no le ka wa so me lo",
    ),
)
_BUILD = Part(
    name="build 1",
    kind="build",
    bars=4,
    chords="F G Am G",
    lanes={
        "thud": BEAT,
        "clap": "x...x...x...x...",
        "saw_bass": "R=r=R=r=R=r=R=r=",
        "stab": WHOLE,
        "keys": WHOLE,
        "riser": f"{REST} {REST} {WHOLE} {WHOLE}",
    },
    fill={"thud": "X...............", "clap": "x.x.x.x.xxxxXXXX"},
    melody=sing("A4:1 C5:1 E5:1 D5:1 D5:3 -:1 C5:1 D5:1 E5:1 G5:1 E5:3 -:1", "lo na we so ma"),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="F C G Am F C G Am",
    lanes={
        "thud": BEAT,
        "clap": BACKBEAT,
        "hat": EIGHTHS,
        "open": OFFBEAT,
        "saw_bass": "..R=.rR=..R=.rR=",
        "stab": "x==x==x=..x=x=x=",
        "keys": WHOLE,
        "pluck": "x.xx.xx.x.xx.xx.",
    }
    | CRASH,
    fill={"clap": "....X...x.x.X.XX"},
    melody=sing(
        "A5:1.5 G5:.5 E5:1 C5:1 E5:2 D5:1 -:1 D5:1.5 E5:.5 G5:1 D5:1 E5:3 -:1 "
        "A5:1.5 G5:.5 E5:1 G5:1 E5:2 D5:1 -:1 D5:1.5 E5:.5 D5:1 B4:1 A4:3 -:1",
        "wa lo na te so la wo me",
    ),
    harmony=True,
)
_FLOOR = {"thud": BEAT, "hat": EIGHTHS, "saw_bass": "..R=..r=..R=..r=", "pluck": "x.xx.xx.x.xx.xx."}

MAGNET_SKY = Score(
    name="magnet-sky",
    title="Magnet Sky",
    rate_hz=44_100,
    tempo_bpm=125.0,
    scale=(0, 2, 4, 5, 7, 9, 11),
    parts=(
        Part(name="intro", kind="intro", bars=4, chords="Am F C G", lanes=_FLOOR),
        _VERSE,
        _BUILD,
        _REFRAIN,
        again(_VERSE, "verse 2", shaker="x-o-x-o-x-o-x-o-"),
        again(_BUILD, "build 2"),
        again(_REFRAIN, "refrain 2"),
        again(_REFRAIN, "refrain 3", jingle=OFFBEAT),
        Part(
            name="outro",
            kind="outro",
            bars=4,
            chords="F C G Am",
            lanes=_FLOOR,
            fill={"thud": "X...............", "hat": REST, "saw_bass": "R===============", "stab": WHOLE},
            rings_s=1.5,
        ),
    ),
    levels_db={"thud": -0.5, "saw_bass": 2.0, "keys": 1.0, "stab": 1.0, "clap": -1.0},
    guests=GUESTS,
    glue_dbfs=-24.0,
    peak_dbfs=-0.8,
)
