"""Salt Road: 104 to the minute, B minor. Turned about: the verses drive, the refrains lose the drums."""

from __future__ import annotations

from arsis.demo.score import Part, Score

from .band import GUESTS
from .parts import BACKBEAT, REST, WHOLE, again, sing

_FILL = {"snare": "....X.....x.x.xX", "tom": "........x...x..."}
_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords="Bm G D A Bm D G A",
    lanes={
        "kick": "X..x..x...x..... X..x..x...x...x.",
        "snare": BACKBEAT,
        "hat": "x.xxx.x.x.xxx.x.",
        "low_tom": "..............o.",
        "picked_bass": "R=rrR=r=R=rrR=f=",
        "guitar": "X==x==x=X==x==x=",
        "strum": "x.o-x.o-x.o-x.o-",
    },
    fill=_FILL,
    melody=sing(
        "B3:.5 B3:.5 D4:1 F#4:1 E4:.5 D4:.5 E4:2 B3:1 -:1 B3:.5 B3:.5 D4:1 E4:1 D4:.5 C#4:.5 B3:3 -:1 "
        "D4:.5 D4:.5 F#4:1 A4:1 G4:.5 F#4:.5 E4:2 D4:1 -:1 E4:.5 E4:.5 F#4:1 G4:1 F#4:.5 E4:.5 F#4:3 -:1",
        "sa lo na te wa me no ka lo so wa ta ne",
    ),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="G D Em Bm G Bm A Bm",
    lanes={
        "haze": WHOLE,
        "grand": "x=======o===o===",
        "bass": "R===============",
        "pluck": "..o...-...o...-.",
    },
    fill={"snare": "........-.-.o.xX"},
    melody=sing(
        "F#4:3 A4:1 G4:2 F#4:1 -:1 E4:3 G4:1 F#4:3 -:1 B4:3 A4:1 G4:2 D4:1 -:1 E4:2 F#4:1 C#4:1 B3:3 -:1",
        "wa lo mo na le so wo ma",
    ),
    harmony=True,
)

SALT_ROAD = Score(
    name="salt-road",
    title="Salt Road",
    rate_hz=44_100,
    tempo_bpm=104.0,
    scale=(1, 2, 4, 6, 7, 9, 11),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=4,
            chords="Bm G D A",
            lanes={**_VERSE.lanes, "guitar": REST},
            fill=_FILL,
        ),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2"),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="outro",
            kind="outro",
            bars=4,
            chords="Bm G D Bm",
            lanes=_VERSE.lanes,
            fill={
                "kick": "X...............",
                "snare": REST,
                "hat": REST,
                "picked_bass": "R===============",
                "guitar": "X===============",
                "strum": "x===============",
            },
            rings_s=2.0,
        ),
    ),
    levels_db={"lead": 1.0},
    guests=GUESTS,
    peak_dbfs=-2.5,
)
