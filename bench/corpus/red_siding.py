"""Red Siding: 126 to the minute, E minor. Rock: driven guitars and an organ, muted in the verses."""

from __future__ import annotations

from dataclasses import replace

from arsis.demo.score import Part, Score

from .band import GUESTS
from .parts import BACKBEAT, BEAT, CRASH, EIGHTHS, REST, WHOLE, again, sing

_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords="Em Em C G Em Em Am D",
    lanes={
        "punch": "X.....x.X.x.....",
        "slab": BACKBEAT,
        "hat": EIGHTHS,
        "picked_bass": "R=r=R=r=R=r=R=f=",
        "wall": "x=o=x.o=x=o=x.o=",
        "organ": "o===============",
    },
    fill={"slab": "....X.....x.X.xx"},
    melody=sing(
        "E4:.5 G4:.5 B4:1 B4:1 A4:1 G4:2 -:2 E4:.5 G4:.5 A4:1 G4:1 E4:1 D4:2 -:2 "
        "E4:.5 G4:.5 B4:1 B4:1 D5:1 B4:2 -:2 A4:.5 A4:.5 C5:1 B4:1 A4:1 F#4:2 -:2",
        "ka no ta we lo pa me so na",
    ),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="C G D Em C G D D",
    lanes={
        "punch": "X..x..X.X.x...x.",
        "slab": BACKBEAT,
        "open": "x...x...x...x...",
        "picked_bass": "R=R=R=r=R=R=R=o=",
        "wall": "X===x=x=X===x=x=",
        "organ": "x=======x=======",
        "guitar": "x===x===x===x===",
    }
    | CRASH,
    fill={"slab": "X.x.X.x.xxX.X.X.", "low_tom": "........x...x..."},
    melody=sing(
        "G5:1.5 E5:.5 D5:1 C5:1 D5:2 B4:1 -:1 A4:1.5 B4:.5 D5:1 E5:1 B4:3 -:1 "
        "G5:1.5 E5:.5 D5:1 E5:1 D5:2 B4:1 -:1 A4:1.5 B4:.5 A4:1 F#4:1 A4:3 -:1",
        "wa lo na te so la wo ma",
    ),
    harmony=True,
)

RED_SIDING = Score(
    name="red-siding",
    title="Red Siding",
    rate_hz=44_100,
    tempo_bpm=126.0,
    scale=(0, 2, 4, 6, 7, 9, 11),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=4,
            chords="Em C G D",
            lanes={"punch": BEAT, "wall": "X===x=x=X===x=x=", "picked_bass": "R=======R======="},
            fill={"slab": "........x.x.X.XX"},
        ),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2", twang="..o...o...o.o..."),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="solo",
            kind="solo",
            bars=8,
            chords="Em C G D",
            lanes={**_VERSE.lanes, "twang": "x.x.xxx.x.x.xx.x"},
            fill=_VERSE.fill,
            fader_db=0.7,
        ),
        again(_REFRAIN, "refrain 3"),
        Part(
            name="outro",
            kind="outro",
            bars=2,
            chords="C Em",
            lanes=_VERSE.lanes,
            fill={
                "punch": "X...............",
                "slab": REST,
                "hat": REST,
                "crash": "x...............",
                "picked_bass": "R===============",
                "wall": "X===============",
                "organ": WHOLE,
            },
            rings_s=2.0,
        ),
    ),
    levels_db={"punch": -1.0, "slab": 0.5, "organ": 1.0, "lead": 1.0},
    guests=GUESTS | {"organ": replace(GUESTS["organ"], pans=(-0.6, 0.2))},
    glue_dbfs=-25.0,
    peak_dbfs=-1.0,
)
