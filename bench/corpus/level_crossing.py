"""Level Crossing: 118 to the minute, G major. The band hardly changes for the refrain."""

from __future__ import annotations

from arsis.demo.score import Part, Score

from .band import GUESTS
from .parts import BACKBEAT, again, sing

_LANES = {
    "kick": "X.......X.x.....",
    "snare": BACKBEAT,
    "hat": "x.o.x.o.x.o.x.o.",
    "bass": "R===..r=R===..f=",
    "strum": "x.o.x-o-x.o.x-o-",
    "organ": "o===============",
    "guitar": "o=====o=o===....",
}
_FILL = {"snare": "....X.......X.xx"}
_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords="G C G D Em C D G",
    lanes=_LANES,
    fill=_FILL,
    melody=sing(
        "-:1 D4:.5 E4:.5 G4:1 A4:1 B4:2 A4:1 -:1 -:1 G4:.5 A4:.5 B4:1 A4:1 G4:3 -:1 "
        "-:1 D4:.5 E4:.5 G4:1 A4:1 B4:1 C5:1 B4:1 -:1 -:1 A4:.5 G4:.5 E4:1 F#4:1 G4:3 -:1",
        "na le so wa to me lo ka na ne mo wa",
    ),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="C G D Em C G D G",
    lanes=_LANES | {"jingle": "x-o-x-o-x-o-x-o-"},
    fill=_FILL,
    melody=sing(
        "B4:1 D5:1.5 C5:.5 B4:1 A4:2 G4:1 -:1 A4:1 C5:1.5 B4:.5 A4:1 B4:3 -:1 "
        "B4:1 D5:1.5 C5:.5 B4:1 E5:2 D5:1 -:1 C5:1 B4:1.5 A4:.5 F#4:1 G4:3 -:1",
        "la wo ne sa mo te la no we ma",
    ),
    harmony=True,
)

LEVEL_CROSSING = Score(
    name="level-crossing",
    title="Level Crossing",
    rate_hz=48_000,
    tempo_bpm=118.0,
    scale=(0, 2, 4, 6, 7, 9, 11),
    parts=(
        Part(name="intro", kind="intro", bars=4, chords="G C G D", lanes=_LANES, fill=_FILL),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2"),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="outro",
            kind="outro",
            bars=4,
            chords="C G D G",
            lanes=_LANES,
            fill={
                "kick": "X...............",
                "snare": "................",
                "hat": "................",
                "bass": "R===============",
                "strum": "x===============",
                "guitar": "................",
            },
            rings_s=2.0,
        ),
    ),
    guests=GUESTS,
    peak_dbfs=-2.0,
)
