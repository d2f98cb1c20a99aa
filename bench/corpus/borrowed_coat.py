"""Borrowed Coat: 66 to the minute, C major. A ballad: piano, bass and a slow kit; strings in the refrains."""

from __future__ import annotations

from arsis.demo.score import Part, Score

from .band import GUESTS
from .parts import BACKBEAT, CRASH, REST, WHOLE, again, sing

_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords="C G Am F C Em F G",
    lanes={
        "grand": "x===o=o=o===o=o=",
        "kick": "x.......o.o.....",
        "slab": "....o.......o...",
        "hat": "o.-.o.-.o.-.o.-.",
        "bass": "r=======r===f===",
    },
    melody=sing(
        "-:1 E4:.5 G4:.5 C5:1 B4:.5 A4:.5 G4:2 -:2 -:1 E4:.5 A4:.5 C5:1 B4:.5 C5:.5 A4:2 -:2 "
        "-:1 E4:.5 G4:.5 C5:1 D5:1 B4:1.5 A4:.5 G4:1 -:1 -:1 A4:.5 C5:.5 C5:1 A4:1 B4:2 -:2",
        "ma lo na we so la no te wa me",
    ),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="F G C Am F G Am G",
    lanes={
        "grand": "X===x=o=x===x=o=",
        "kick": "X.....o.x.o.....",
        "slab": "....x.......x...",
        "hat": "x.o.x.o.x.o.x.o.",
        "bass": "R=====r=R===f===",
        "pad": "x===============",
        "guitar": "o=======o=======",
    }
    | CRASH,
    fill={"slab": "....x.....o.x.xx", "low_tom": "........o......."},
    melody=sing(
        "C5:1 D5:1 E5:1.5 F5:.5 D5:2 B4:1 -:1 E5:1 D5:1 C5:1.5 B4:.5 C5:2 A4:1 -:1 "
        "C5:1 D5:1 E5:1.5 F5:.5 G5:2 D5:1 -:1 E5:1 D5:1 C5:1 A4:1 B4:2 -:2",
        "wo la ne wa so lo ma na te",
    ),
    harmony=True,
    fader_db=0.6,
)

BORROWED_COAT = Score(
    name="borrowed-coat",
    title="Borrowed Coat",
    rate_hz=48_000,
    tempo_bpm=66.0,
    scale=(0, 2, 4, 5, 7, 9, 11),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=2,
            chords="C F",
            lanes={"grand": "x===o=o=o===o=o="},
            fader_db=1.5,
        ),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2", organ="-==============="),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="bridge",
            kind="bridge",
            bars=4,
            chords="Dm Am F G",
            lanes={**_VERSE.lanes, "pad": "o==============="},
            fill={"slab": "....o...o.o.x.xx"},
            melody=sing("D5:2 C5:1 A4:1 C5:3 -:1 F5:2 E5:1 C5:1 D5:3 -:1", "no wa le so"),
        ),
        again(_REFRAIN, "refrain 3", jingle=BACKBEAT),
        Part(
            name="outro",
            kind="outro",
            bars=2,
            chords="F C",
            lanes=_VERSE.lanes,
            fill={
                "grand": WHOLE,
                "kick": REST,
                "slab": REST,
                "hat": REST,
                "bass": "r===============",
                "pad": WHOLE,
            },
            rings_s=2.5,
        ),
    ),
    levels_db={"kick": -2.5, "slab": -3.0, "grand": 1.0, "pad": 1.0, "guitar": -2.0, "bass": -1.0},
    guests=GUESTS,
    peak_dbfs=-2.5,
)
