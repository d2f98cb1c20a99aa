"""Orchard Gate: 108 to the minute, E major. No drums: fingered strings, strummed in the refrains."""

from __future__ import annotations

from dataclasses import replace

from arsis.demo.score import Part, Score

from .band import GUESTS
from .parts import WHOLE, again, sing

_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords="E A E B A E B E",
    lanes={"finger": "x.o.x.o.x.o.x.oo x.o.xoo.x.o.x.o.", "bass": "r=======r===f==="},
    melody=sing(
        "E4:1 G#4:1 B4:1 A4:.5 G#4:.5 F#4:2 E4:1 -:1 E4:1 G#4:1 B4:1 C#5:1 B4:3 -:1 "
        "C#5:1 B4:1 A4:1 G#4:.5 A4:.5 B4:2 G#4:1 -:1 A4:1 G#4:1 F#4:1 G#4:1 E4:3 -:1",
        "na lo we ma la so no wa te lo",
    ),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="A E A B C#m A B E",
    lanes={
        "strum": "X.o-x.o-x-o-x.o-",
        "finger": "x...o...x...o...",
        "bass": "R=====r=R===f===",
        "pad": "x===============",
        "pluck": "o...-...o...-.-.",
    },
    melody=sing(
        "C#5:1.5 B4:.5 A4:1 C#5:1 B4:3 -:1 C#5:1.5 D#5:.5 E5:1 C#5:1 B4:3 -:1 "
        "E5:1.5 D#5:.5 C#5:1 B4:1 A4:2 G#4:1 -:1 F#4:1.5 G#4:.5 A4:1 F#4:1 E4:3 -:1",
        "wa lo la no me so wo na la te",
    ),
    harmony=True,
)

ORCHARD_GATE = Score(
    name="orchard-gate",
    title="Orchard Gate",
    rate_hz=44_100,
    tempo_bpm=108.0,
    scale=(1, 3, 4, 6, 8, 9, 11),
    parts=(
        Part(name="intro", kind="intro", bars=4, chords="E A E B", lanes=_VERSE.lanes),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2", keys="o=======o======="),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="outro",
            kind="outro",
            bars=2,
            chords="A E",
            lanes=_VERSE.lanes,
            fill={
                "finger": "x...............",
                "strum": "x===============",
                "bass": "r===============",
                "pad": WHOLE,
            },
            rings_s=2.5,
        ),
    ),
    levels_db={"lead": -1.5, "finger": -2.5, "strum": 2.5, "bass": -3.5, "pad": 2.5},
    guests=GUESTS | {"finger": replace(GUESTS["finger"], pans=(-0.35, 0.35))},
    peak_dbfs=-3.0,
)
