"""Rust Porch: 12/8, 112 dotted beats a minute, A major. A shuffle: twelve bars, a mouth organ."""

from __future__ import annotations

from arsis.demo.score import Part, Score

from .parts import again, sing
from .stage import STAGE

_REST = "." * 24
_HOLD = "o" + "=" * 23
_SHUFFLE = "x...o.x...o.x...o.x...o."
_SECOND_AND_FOURTH = "......X...........X....."
_BASS = "R===r=F===f=O===o=F===f="
_CHUG = "o===-.o===-.o===-.o===-."
_ANSWER = f"{_REST} {_REST} {_REST} x===o=x=====o===x=o=...."
_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=12,
    chords="A7 D7 A7 A7 D7 D7 A7 A7 E7 D7 A7 E7",
    lanes={
        "kick": "X.........o.X...........",
        "snare": _SECOND_AND_FOURTH,
        "hat": _SHUFFLE,
        "bass": _BASS,
        "guitar": _CHUG,
        "grand": "....o.....o.....o.....o.",
        "harp": _ANSWER,
    },
    fill={"snare": "......X.....x...x.X.x.x."},
    melody=sing(
        "A4:1 C5:.5 A4:1 G4:.5 A4:1.5 -:1.5 C5:1 D5:.5 C5:1 A4:.5 G4:1.5 -:1.5 E4:1 G4:.5 A4:3 -:7.5 "
        "A4:1 C5:.5 D5:1 C5:.5 A4:1.5 -:1.5 C5:1 D5:.5 C5:1 A4:.5 G4:1.5 -:1.5 E4:1 G4:.5 A4:3 -:7.5 "
        "B4:1 D5:.5 E5:1 D5:.5 B4:1.5 -:1.5 D5:1 C5:.5 A4:1 C5:.5 D5:1.5 -:1.5 "
        "C5:1 A4:.5 G4:1 E4:.5 A4:2 -:1",
        "wa na lo ka me ta no we la",
    ),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="F#m D A E F#m D E A",
    lanes={
        "kick": "X.........x.X.........x.",
        "snare": _SECOND_AND_FOURTH,
        "ride": _SHUFFLE,
        "jingle": "......o...........o.....",
        "bass": "R===r=F===r=R===r=F===o=",
        "guitar": "x===o=x===o=x===o=x===o=",
        "grand": "x=....x...x.x=....x...x.",
        "organ": _HOLD,
        "brass": f"{_REST} ............x===x=X===.. {_REST} ......x=....x===X=====..",
    },
    fill={"snare": "......X...x.X...x.X.x.X."},
    melody=sing(
        "C#5:1.5 C#5:1 B4:.5 A4:1.5 -:1.5 D5:1.5 D5:1 C#5:.5 A4:1.5 -:1.5 "
        "E5:1.5 C#5:1 E5:.5 A4:1.5 -:1.5 B4:3 E5:1.5 -:1.5 "
        "C#5:1.5 C#5:1 E5:.5 F#5:1.5 -:1.5 D5:1.5 F#5:1 D5:.5 A4:1.5 -:1.5 "
        "B4:1.5 D5:1 E5:.5 E5:3 A4:4.5 -:1.5",
        "wa lo na so me la we no",
    ),
    harmony=True,
)

RUST_PORCH = Score(
    name="rust-porch",
    title="Rust Porch",
    rate_hz=48_000,
    tempo_bpm=168.0,
    scale=(1, 2, 4, 6, 8, 9, 11),
    steps=24,
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=2,
            chords="A7 E7",
            lanes={
                "kick": "X...........X...........",
                "hat": _SHUFFLE,
                "bass": _BASS,
                "guitar": _CHUG,
                "harp": "x===o=x=====o===x=o===== x=====o===x=x===========",
            },
            fill={"snare": "............x...x.X.x.X."},
        ),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2", organ="............o==========="),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="outro",
            kind="outro",
            bars=2,
            chords="E7 A7",
            lanes={**_VERSE.lanes, "harp": "x===o=x=====o===x=o=...."},
            fill={
                "kick": "X.......................",
                "snare": "X.......................",
                "hat": _REST,
                "bass": "R" + "=" * 23,
                "guitar": "x" + "=" * 23,
                "grand": "x" + "=" * 23,
                "harp": _HOLD,
            },
            rings_s=1.5,
        ),
    ),
    levels_db={
        "kick": -2.0,
        "snare": -1.5,
        "guitar": 0.5,
        "bass": 0.5,
        "hat": -1.0,
        "lead": 1.5,
        "harmony": 3.0,
    },
    guests=STAGE,
    peak_dbfs=-3.0,
)
