"""Second Helping: 124 to the minute, C major. A stomp: the snare on every beat, tambourine, piano, horns."""

from __future__ import annotations

from arsis.demo.score import Part, Score

from .horns import PLAYERS
from .parts import BACKBEAT, BEAT, REST, WHOLE, again, sing

_DANCING = "R=.rR=f.R=.ro=f= R=.rR=.rF=.fr=or"

_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords="C Am F G C Am Dm G",
    lanes={
        "kick": "X..x..x.X..x....",
        "snare": "x...x...x...x...",
        "jingle": BACKBEAT,
        "bass": _DANCING,
        "guitar": "....x.......x...",
        "grand": "o...o...o...o...",
    },
    fill={"snare": "x...x...x.x.xxxx"},
    melody=sing(
        "-:.5 G4:.5 C5:.5 C5:.5 D5:.5 E5:.5 C5:1 A4:1.5 G4:.5 A4:1 -:1 "
        "-:.5 A4:.5 C5:.5 C5:.5 D5:.5 C5:.5 A4:1 B4:3 -:1 "
        "-:.5 G4:.5 C5:.5 C5:.5 D5:.5 E5:.5 G5:1 E5:1.5 D5:.5 C5:1 -:1 "
        "F5:1 E5:.5 D5:.5 C5:1 A4:1 G4:3 -:1",
        "na ka lo te wa me so la ta no",
    ),
)
_RISE = Part(
    name="rise 1",
    kind="pre_chorus",
    bars=4,
    chords="F G Em7 G",
    lanes={
        "kick": BEAT,
        "snare": "x...x...x...x...",
        "jingle": "x.x.x.x.x.x.x.x.",
        "bass": "R=r=R=r=R=r=R=r=",
        "grand": "x...x...x...x...",
        "pad": "o===============",
        "brass": f"{REST} x=======........ {REST} x=======X=======",
    },
    fill={"snare": "x.x.x.x.xxxxXXXX"},
    melody=sing("A4:1 C5:1 F5:1.5 E5:.5 D5:3 -:1 G4:1 B4:1 E5:1.5 D5:.5 G5:3 -:1", "lo na wa so me la"),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="C G Am F C G F C",
    lanes={
        "kick": "X..x..x.X..x..x.",
        "snare": "X...X...X...X...",
        "clap": BACKBEAT,
        "jingle": "o.X.o.X.o.X.o.X.",
        "bass": "R=rrR=f=R=rro=f=",
        "guitar": "....X.......X...",
        "grand": "x.x.x.x.x.x.x.x.",
        "pad": WHOLE,
        "brass": f"{REST} ....x=x.....X=.. {REST} ....X==.x=.xX===",
    },
    fill={"snare": "X...X...X.X.XxXX"},
    melody=sing(
        "E5:1 G5:1 E5:.5 D5:.5 C5:1 D5:2 B4:1 -:1 C5:1 E5:1 C5:.5 B4:.5 A4:1 A4:2 C5:1 -:1 "
        "E5:1 G5:1 E5:.5 D5:.5 C5:1 D5:2 G5:1 -:1 A5:1 G5:1 E5:.5 D5:.5 F5:1 E5:3 -:1",
        "wa lo no la so ne ma ta we",
    ),
    harmony=True,
)

SECOND_HELPING = Score(
    name="second-helping",
    title="Second Helping",
    rate_hz=48_000,
    tempo_bpm=124.0,
    scale=(0, 2, 4, 5, 7, 9, 11),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=2,
            chords="C G",
            lanes={
                "kick": BEAT,
                "jingle": BACKBEAT,
                "bass": _DANCING,
                "brass": "x=.x..x.x=...... x=.x..x.X=======",
            },
            fill={"snare": "........xxxxXXXX"},
        ),
        _VERSE,
        _RISE,
        _REFRAIN,
        again(_VERSE, "verse 2", brass=f"{REST} ..........x.x=.."),
        again(_RISE, "rise 2"),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="bridge",
            kind="bridge",
            bars=4,
            chords="Am7 Em7 F G",
            lanes={
                "kick": BEAT,
                "jingle": "..x...x...x...x.",
                "clap": BACKBEAT,
                "bass": "R===..r=R===f=r=",
                "grand": "o=======o=======",
                "pad": "o===============",
            },
            fill={"snare": "x...x...x.x.xxXX", "brass": "........x===X==="},
            melody=sing("C5:2 E5:1 C5:1 B4:3 -:1 A4:2 C5:1 F5:1 D5:3 -:1", "no la we so"),
        ),
        again(_REFRAIN, "refrain 3", organ="o=======o======="),
        Part(
            name="outro",
            kind="outro",
            bars=2,
            chords="F C",
            lanes={**_VERSE.lanes, "brass": "x=.x..x.x=......"},
            fill={
                "kick": "X...............",
                "snare": "X...............",
                "jingle": REST,
                "bass": "R===............",
                "guitar": REST,
                "grand": WHOLE,
                "brass": "X=======........",
            },
            rings_s=1.0,
        ),
    ),
    levels_db={
        "kick": -2.0,
        "snare": -2.5,
        "jingle": -1.0,
        "grand": 0.5,
        "bass": 1.0,
        "pad": 2.0,
        "guitar": 0.5,
    },
    guests=PLAYERS,
    glue_dbfs=-24.0,
    peak_dbfs=-2.2,
)
