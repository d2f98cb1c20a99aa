"""North Field: 100 to the minute, D major. Folk rock: strummed steel strings and a soft, brushed kit."""

from __future__ import annotations

from dataclasses import replace

from arsis.demo.score import Part, Score

from .band import GUESTS
from .parts import REST, WHOLE, again, sing

_FILL = {"snare": "....x...o.o.x.oo", "low_tom": "..............o."}
_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords="D D G A D Bm G D",
    lanes={
        "boom": "x.......o....... x.......o.o.....",
        "snare": "....o.-.....o..- ....o...-...o.-.",
        "shaker": "x-oox-oox-oox-oo",
        "strum": "x...x.o-..o-x.o-",
        "bass": "r===..f=r===....",
    },
    fill=_FILL,
    melody=sing(
        "D4:1 F#4:.5 G4:.5 A4:1.5 F#4:.5 B4:1 A4:1 F#4:1 -:1 G4:1 G4:.5 F#4:.5 E4:1.5 D4:.5 E4:3 -:1 "
        "D4:1 F#4:.5 G4:.5 A4:1.5 B4:.5 D5:1 B4:1 A4:1 -:1 G4:1 F#4:.5 E4:.5 D4:1 E4:1 D4:3 -:1",
        "lo na wa se me lo ta no la wo ne ma",
    ),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="G D Em A G Bm A D",
    lanes={
        "boom": "X.....o.x.......",
        "snare": "....x..-..-.x..-",
        "shaker": "xooxxooxxooxxoox",
        "jingle": "....x.......x...",
        "strum": "X.o-x.o-X.o-x.xo",
        "guitar": "o=======o=======",
        "bass": "R===r=f=R===f=r=",
        "organ": "o===============",
        "twang": "..o...o...o...o.",
    },
    fill=_FILL,
    melody=sing(
        "B4:1 D5:1 D5:1 B4:1 A4:3 -:1 G4:1 B4:1 A4:1 F#4:1 E4:3 -:1 "
        "B4:1 D5:1 E5:1 F#5:1 D5:2 A4:1 -:1 B4:1 A4:1 G4:1 E4:1 D4:3 -:1",
        "wa lo na so la we no ta me wo lo",
    ),
    harmony=True,
)

NORTH_FIELD = Score(
    name="north-field",
    title="North Field",
    rate_hz=48_000,
    tempo_bpm=100.0,
    scale=(1, 2, 4, 6, 7, 9, 11),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=2,
            chords="D G",
            lanes={"strum": "x...x.o-..o-x.o-", "shaker": "x-oox-oox-oox-oo"},
        ),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2", finger="x.o.x.o.x.o.x.o."),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="outro",
            kind="outro",
            bars=2,
            chords="G D",
            lanes=_VERSE.lanes,
            fill={
                "boom": "x...............",
                "snare": REST,
                "shaker": REST,
                "strum": WHOLE,
                "bass": "r===============",
            },
            rings_s=2.0,
        ),
    ),
    levels_db={
        "boom": -4.0,
        "snare": -3.0,
        "shaker": 3.0,
        "strum": 1.5,
        "bass": -0.5,
        "organ": 1.0,
        "lead": 0.5,
    },
    guests=GUESTS
    | {"twang": replace(GUESTS["twang"], pans=(-0.35,)), "finger": replace(GUESTS["finger"], pans=(0.4,))},
    peak_dbfs=-3.5,
)
