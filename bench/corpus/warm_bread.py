"""Warm Bread: 104 to the minute, E flat major. Soul: a busy bass, organ, electric piano, choppy guitar."""

from __future__ import annotations

from arsis.demo.score import Part, Score

from .band import GUESTS
from .parts import BACKBEAT, REST, again, sing

_FILL = {"snare": "....X..-....x.xx"}
_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords="Ebmaj7 Cm7 Ebmaj7 Gm7 Abmaj7 Gm7 Fm7 Bb7",
    lanes={
        "kick": "X..x....X.x..... X..x....X.x...x.",
        "rim": BACKBEAT,
        "hat": "x-o-x-o-x-o-x-oo",
        "bass": "R=.rf.o=.rR=f.or R=.rf.o=.fR=o.fr",
        "tine": "x===..o=x=....o=",
        "twang": "..x.......x.....",
    },
    melody=sing(
        "-:.5 G4:.5 Bb4:.5 C5:1 Bb4:.5 G4:1 -:.5 G4:.5 F4:.5 Eb4:2 -:1 "
        "-:.5 G4:.5 Bb4:.5 C5:1 Eb5:1.5 -:.5 C5:.5 Bb4:.5 G4:.5 Bb4:1.5 -:1 "
        "-:.5 Ab4:.5 C5:.5 C5:1 Bb4:.5 Ab4:1 -:.5 G4:.5 F4:.5 G4:2 -:1 "
        "-:.5 F4:.5 G4:.5 Ab4:1 C5:.5 Bb4:2 -:3",
        "na lo we ta mo la se no wa ka te lo me",
    ),
)
_RISE = Part(
    name="rise 1",
    kind="pre_chorus",
    bars=4,
    chords="Abmaj7 Bb7 Cm7 Bb7",
    lanes={
        "kick": "X...x...X...x...",
        "snare": "....o.......o...",
        "hat": "x.x.x.x.x.x.x.x.",
        "bass": "R=r=R=r=f=f=o=o=",
        "organ": "x===============",
        "tine": "x=======x=======",
    },
    fill=_FILL,
    melody=sing(
        "Ab4:1 Ab4:.5 Bb4:.5 C5:2 Bb4:1 Bb4:.5 C5:.5 D5:2 C5:1 C5:.5 D5:.5 Eb5:2 D5:3 -:1",
        "no la we ma so ta",
    ),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="Ebmaj7 Gm7 Abmaj7 Bb7 Cm7 Gm7 Fm7 Ebmaj7",
    lanes={
        "kick": "X..x..x.X.x.....",
        "snare": "....X..-....X..-",
        "hat": "x.o.x.o.x.o.x.o.",
        "jingle": "o-x-o-x-o-x-o-x-",
        "bass": "R=rRf.oOR=rRf=or R=rRf.oOR=oFf=rR",
        "tine": "x==x==x=x==x==x=",
        "organ": "x=======x=======",
        "guitar": "..x.....x...x...",
        "pad": "o===============",
    },
    fill=_FILL,
    melody=sing(
        "Eb5:1 D5:.5 C5:.5 Bb4:1 G4:1 Bb4:2 -:2 C5:1 C5:.5 Bb4:.5 C5:1 Eb5:1 D5:2 -:2 "
        "Eb5:1 D5:.5 C5:.5 Bb4:1 Eb5:1 F5:2 Eb5:1 -:1 C5:1 Bb4:.5 Ab4:.5 G4:1 F4:1 Eb4:2 -:2",
        "wa lo no la so me ta wo ne",
    ),
    harmony=True,
)

WARM_BREAD = Score(
    name="warm-bread",
    title="Warm Bread",
    rate_hz=48_000,
    tempo_bpm=104.0,
    scale=(0, 2, 3, 5, 7, 8, 10),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=2,
            chords="Ebmaj7 Cm7",
            lanes={"bass": "R=.rf.o=.rR=f.or", "hat": "x-o-x-o-x-o-x-oo", "tine": "x===..o=x=....o="},
        ),
        _VERSE,
        _RISE,
        _REFRAIN,
        again(_VERSE, "verse 2", organ="o========......."),
        again(_RISE, "rise 2"),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="outro",
            kind="outro",
            bars=2,
            chords="Abmaj7 Ebmaj7",
            lanes=_VERSE.lanes,
            fill={
                "kick": "X...............",
                "rim": REST,
                "hat": REST,
                "bass": "R===============",
                "tine": "x===============",
                "organ": "o===============",
                "twang": REST,
            },
            rings_s=2.0,
        ),
    ),
    levels_db={"kick": -1.5, "snare": -0.5, "bass": 0.5},
    guests=GUESTS,
    peak_dbfs=-3.0,
)
