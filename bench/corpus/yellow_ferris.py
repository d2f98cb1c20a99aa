"""Yellow Ferris: 94 to the minute, G minor. Cumbia: accordion, a scraper, hand drums, a bass in threes."""

from __future__ import annotations

from dataclasses import replace

from arsis.demo.score import Part, Score

from .parlour import PARLOUR
from .parts import REST, again, sing

_SCRAPE = "x-oox-oox-oox-oo"
_DRUM = "..x...xo..x...xx"
_BASS = "R=====F=o=....R= R=====F=f=......"
_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords="Gm Gm D7 D7 Cm Gm D7 Gm",
    lanes={
        "boom": "x.......x.......",
        "shaker": _SCRAPE,
        "conga": _DRUM,
        "rim": "x..x..x...x.x...",
        "bass": _BASS,
        "strum": "....o.......o...",
        "accordion": f"{REST} ........x=x=o=x=",
    },
    melody=sing(
        "D5:.5 D5:.5 Bb4:.5 G4:1 Bb4:.5 C5:.5 D5:.5 Bb4:1 G4:1.5 -:1.5 "
        "F#4:.5 A4:.5 C5:.5 D5:1 C5:.5 A4:.5 F#4:.5 A4:2 -:2 "
        "Eb5:.5 Eb5:.5 C5:.5 G4:1 C5:.5 D5:.5 Eb5:.5 D5:1 Bb4:1.5 -:1.5 "
        "A4:.5 C5:.5 A4:.5 F#4:1 A4:.5 C5:.5 A4:.5 G4:2 -:2",
        "na lo ta we ko sa mo la te",
    ),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="Eb Bb F Gm Eb Bb D7 Gm",
    lanes={
        "boom": "x.......x.....o.",
        "clap": "....x.......x...",
        "shaker": "X-oxx-oxX-oxx-ox",
        "conga": "o.Xo..Xoo.Xo..XX",
        "rim": "x..x..x...x.x...",
        "bass": "R=====F=O=..r=R=",
        "strum": "..o.x.o...o.x.oo",
        "accordion": "x=.x=.x=o=..x=o=",
        "brass": f"{REST} ..........x.x==. {REST} ....x=..X=X=x===",
    },
    fill={"tom": "..........x.xx..", "low_tom": "..............xX"},
    melody=sing(
        "G5:1 Eb5:.5 Bb4:.5 Eb5:1 G5:1 F5:1.5 D5:.5 Bb4:1 -:1 C5:1 F5:.5 C5:.5 A4:1 C5:1 D5:2 Bb4:1 -:1 "
        "G5:1 Eb5:.5 Bb4:.5 Eb5:1 G5:1 F5:1.5 D5:.5 F5:1 -:1 F#5:1 D5:.5 C5:.5 A4:1 F#4:1 G4:3 -:1",
        "wa no la so me lo ka we",
    ),
    harmony=True,
)

YELLOW_FERRIS = Score(
    name="yellow-ferris",
    title="Yellow Ferris",
    rate_hz=44_100,
    tempo_bpm=94.0,
    scale=(0, 2, 3, 5, 7, 9, 10),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=2,
            chords="Gm D7",
            lanes={
                "shaker": _SCRAPE,
                "conga": _DRUM,
                "bass": _BASS,
                "accordion": "x=x=o=x=x=o=x=== x=o=x=x=o=o=x===",
            },
        ),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2", twang="..o.....o.o....."),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="outro",
            kind="outro",
            bars=2,
            chords="D7 Gm",
            lanes={**_VERSE.lanes, "accordion": "x=x=o=x=x=o=x==="},
            fill={
                "boom": "x.......x.......",
                "shaker": REST,
                "conga": "o..xX...X.......",
                "rim": REST,
                "bass": "R=......R===....",
                "strum": REST,
                "accordion": "x=o=x=..X===....",
            },
        ),
    ),
    levels_db={"boom": -3.5, "shaker": 6.0, "conga": 1.5, "accordion": 1.5, "bass": 1.5, "strum": 1.0},
    guests=PARLOUR | {"accordion": replace(PARLOUR["accordion"], pans=(-0.35,))},
    peak_dbfs=-2.8,
)
