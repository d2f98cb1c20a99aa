"""Hollow Stile: 92 to the minute, D dorian. Folk with drums: fingered and strummed strings, a soft kit."""

from __future__ import annotations

from dataclasses import replace

from arsis.demo.score import Part, Score

from .band import GUESTS
from .parts import REST, WHOLE, again, sing

_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords="Dm C G Dm F C Am Dm",
    lanes={
        "boom": "x.......o.o.....",
        "snare": "....o..-....o.-.",
        "shaker": "x-o-x-o-x-o-x-o-",
        "finger": "x.o.x.o.x.o.x.oo",
        "strum": "o.......o...o.-.",
        "bass": "r===..f=r=====f=",
    },
    melody=sing(
        "D4:1 A4:1 A4:.5 G4:.5 A4:1 G4:1.5 E4:.5 C4:1 -:1 D4:1 G4:1 B4:.5 A4:.5 G4:1 A4:3 -:1 "
        "A4:1 C5:1 C5:.5 B4:.5 A4:1 G4:1.5 E4:.5 G4:1 -:1 A4:1 G4:.5 F4:.5 E4:1 C4:1 D4:3 -:1",
        "lo na se wa me no la ta wo ne",
    ),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="F C G Dm F C Am Dm",
    lanes={
        "boom": "X.....o.x.o.....",
        "snare": "....x..-..-.x.-.",
        "shaker": "xooxxooxxooxxoox",
        "jingle": "....o.......o...",
        "finger": "x.o.x.o.x.o.x.oo",
        "strum": "x.o-x.o-x.o-x.xo",
        "bass": "R===r=f=R===r=f=",
        "pad": "o=======o=======",
    },
    fill={"snare": "....x...o.o.x.oo", "low_tom": "..............o."},
    melody=sing(
        "C5:1.5 A4:.5 C5:1 D5:1 E5:2 C5:1 -:1 B4:1.5 G4:.5 B4:1 C5:1 A4:3 -:1 "
        "C5:1.5 A4:.5 C5:1 D5:1 E5:2 G5:1 -:1 E5:1 C5:1 B4:1 C5:1 D5:3 -:1",
        "wa lo na so me la wo te",
    ),
    harmony=True,
)

HOLLOW_STILE = Score(
    name="hollow-stile",
    title="Hollow Stile",
    rate_hz=48_000,
    tempo_bpm=92.0,
    scale=(0, 2, 4, 5, 7, 9, 11),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=2,
            chords="Dm C",
            lanes={"finger": "x.o.x.o.x.o.x.oo", "strum": "o.......o...o.-.", "bass": "r==============="},
            fader_db=2.0,
        ),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2", keys="o=======o======="),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="outro",
            kind="outro",
            bars=2,
            chords="G Dm",
            lanes=_VERSE.lanes,
            fill={
                "boom": "x...............",
                "snare": REST,
                "shaker": REST,
                "finger": "x...............",
                "strum": WHOLE,
                "bass": "r===============",
            },
            rings_s=2.0,
        ),
    ),
    levels_db={"boom": -3.0, "snare": -2.5, "shaker": 1.0, "strum": 1.0, "pad": 3.0},
    guests=GUESTS
    | {
        "finger": replace(GUESTS["finger"], pans=(-0.5,)),
        "strum": replace(GUESTS["strum"], pans=(-0.3, 0.7)),
    },
    peak_dbfs=-3.5,
)
