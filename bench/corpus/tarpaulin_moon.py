"""Tarpaulin Moon: 76 to the minute, D major. A slow rock song: piano and kit, guitars when it opens."""

from __future__ import annotations

from arsis.demo.score import Part, Score

from .parts import CRASH, EIGHTHS, REST, WHOLE, again, sing
from .stage import STAGE

_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=4,
    chords="D A Bm G",
    lanes={
        "kick": "X.....o.x.o.....",
        "snare": "....x.......x...",
        "hat": "o.o.o.o.o.o.o.o.",
        "bass": "R=====r=R=====f=",
        "grand": "x===o===x===o===",
        "strum": "o.......o...o...",
    },
    fill={"snare": "....x.......x.o."},
    melody=sing(
        "-:.5 F#4:.5 F#4:.5 A4:.5 A4:1.5 F#4:.5 E4:1 C#4:.5 E4:.5 E4:1 -:1 "
        "-:.5 D4:.5 F#4:.5 B4:.5 B4:1 A4:1 B4:.5 A4:.5 G4:1 D4:1 -:1",
        "lo na wa me so la te no ma we",
    ),
)
_LIFT = Part(
    name="lift 1",
    kind="pre_chorus",
    bars=2,
    chords="Em7 A",
    lanes={
        "kick": "X.......X.......",
        "snare": "....x.......x...",
        "hat": EIGHTHS,
        "bass": "R===r===R===r===",
        "grand": "x===x===x===x===",
        "strum": "x...o...x...o.o.",
        "pad": WHOLE,
    },
    fill={"snare": "....x.......x.xx", "tom": "........x.x.....", "low_tom": "............x.x."},
    melody=sing("G4:1 A4:.5 B4:.5 E5:1.5 D5:.5 C#5:3 -:1", "la no we so ma"),
    fader_db=0.5,
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=4,
    chords="D G Bm A",
    lanes={
        "kick": "X.....x.X.x.....",
        "snare": "....X.......X...",
        "open": "x...x...x...x...",
        "bass": "R=r=R=r=R=r=R=f=",
        "grand": "x===x===x===x===",
        "guitar": "X=======x=====x=",
        "strum": "x.o.x.o.x.o.x.o.",
        "organ": WHOLE,
        "pad": WHOLE,
    }
    | CRASH,
    fill={"snare": "....X.....x.X.xX"},
    melody=sing(
        "D5:1.5 E5:.5 F#5:1.5 D5:.5 D5:1 B4:1 G4:1 -:1 F#5:1.5 E5:.5 D5:1 B4:1 C#5:1 E5:1 A4:1 -:1",
        "wa lo na so me la wo",
    ),
    harmony=True,
)

TARPAULIN_MOON = Score(
    name="tarpaulin-moon",
    title="Tarpaulin Moon",
    rate_hz=48_000,
    tempo_bpm=76.0,
    scale=(1, 2, 4, 6, 7, 9, 11),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=2,
            chords="D G",
            lanes={"grand": "x===o===x===o===", "strum": "o.......o...o...", "bass": "R=======r======="},
            fill={"snare": "............x.oo"},
            fader_db=0.5,
        ),
        _VERSE,
        _LIFT,
        _REFRAIN,
        again(_VERSE, "verse 2", twang="........o...o..."),
        again(_LIFT, "lift 2"),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="bridge",
            kind="bridge",
            bars=2,
            chords="Em7 G",
            lanes={**_LIFT.lanes, "twang": "x...x.x.x...x.x."},
            fill=_LIFT.fill,
        ),
        again(_REFRAIN, "refrain 3"),
        Part(
            name="outro",
            kind="outro",
            bars=2,
            chords="G D",
            lanes=_VERSE.lanes,
            fill={
                "kick": "X...............",
                "snare": REST,
                "hat": REST,
                "bass": "R===============",
                "grand": WHOLE,
                "strum": WHOLE,
                "pad": "o===============",
            },
            rings_s=2.0,
        ),
    ),
    levels_db={
        "kick": -2.0,
        "snare": -1.5,
        "grand": 1.0,
        "strum": 0.5,
        "pad": 2.0,
        "guitar": -1.5,
        "lead": 0.5,
        "harmony": 2.5,
    },
    guests=STAGE,
    peak_dbfs=-2.6,
)
