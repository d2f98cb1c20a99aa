"""Half Past Tuesday: 12/8, 132 dotted beats a minute, A flat major. Swing: vibes, a walking bass, brushes."""

from __future__ import annotations

from dataclasses import replace

from arsis.demo.score import Part, Score

from .parlour import PARLOUR
from .parts import again, sing

_RIDE = "x.....x...o.x.....x...o."
_WALK = "R===..R===..F===..o===.. R===..F===..R===r.f===.."
_REST = "." * 24
_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords="Abmaj7 Fm7 Bbm7 Eb7 Cm7 Fm7 Bbm7 Eb7",
    lanes={
        "ride": _RIDE,
        "hat": "......x...........x.....",
        "brush": "......o...-.......o...-.",
        "bass": _WALK,
        "vibes": f"....o=====....o===...... {_REST}",
    },
    fill={"brush": "......o...o.x...x.x...x."},
    melody=sing(
        "-:1.5 Eb5:1 C5:.5 Ab4:1.5 G4:1 Ab4:.5 C5:3 -:3 "
        "-:1.5 Db5:1 Bb4:.5 F4:1.5 Ab4:1.5 G4:3 -:3 "
        "-:1.5 Eb5:1 C5:.5 Bb4:1.5 G4:1 Bb4:.5 Ab4:3 F4:1.5 -:1.5 "
        "Db5:1.5 C5:1 Bb4:.5 Ab4:1.5 F4:1.5 Eb4:3 -:3",
        "la no te wa so ma lo ne",
    ),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="Dbmaj7 Eb7 Cm7 Fm7 Bbm7 Eb7 Abmaj7 Ab7",
    lanes={
        "boom": "o...........-.....o.....",
        "ride": "X.....x...x.X.....x...x.",
        "hat": "......x...........x.....",
        "brush": "......x...-.....o.x...o.",
        "bass": _WALK,
        "grand": "o...........o...o.......",
        "vibes": "....x=====....o===......",
        "brass": f"{_REST} ..........x===..x=====.. {_REST} ....x=....x=======......",
    },
    fill={"brush": "x...x.x...x.x...x.X.x.X."},
    melody=sing(
        "F5:3 C5:1.5 Db5:1.5 Eb5:1 Db5:.5 Bb4:3 -:1.5 Eb5:3 Bb4:1.5 C5:1.5 Ab4:4.5 -:1.5 "
        "Db5:3 F5:1.5 Db5:1.5 C5:1 Db5:.5 G4:3 -:1.5 Ab4:1.5 C5:1 Eb5:.5 G5:3 Eb5:4.5 -:1.5",
        "wa lo na so we ma la no",
    ),
    harmony=True,
)

HALF_PAST_TUESDAY = Score(
    name="half-past-tuesday",
    title="Half Past Tuesday",
    rate_hz=48_000,
    tempo_bpm=198.0,
    scale=(0, 1, 3, 5, 7, 8, 10),
    steps=24,
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=4,
            chords="Abmaj7 Fm7 Bbm7 Eb7",
            lanes={"ride": _RIDE, "bass": _WALK, "vibes": "x=====....o=x=====......"},
        ),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2", grand=f"{_REST} ....o.....o............."),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="vibes alone",
            kind="solo",
            bars=8,
            chords="Abmaj7 Fm7 Bbm7 Eb7",
            lanes={
                **_VERSE.lanes,
                "vibes": "x===x=o===x=..o=x===o=x= x=====o===x=....x=o=x===",
                "grand": _REFRAIN.lanes["grand"],
            },
        ),
        again(_REFRAIN, "refrain 3"),
        Part(
            name="outro",
            kind="outro",
            bars=2,
            chords="Eb7 Abmaj7",
            lanes=_VERSE.lanes,
            fill={
                "ride": "X.......................",
                "hat": _REST,
                "brush": "x.......................",
                "bass": "R=======================",
                "vibes": "x=======================",
            },
            rings_s=1.5,
        ),
    ),
    levels_db={"ride": 2.0, "hat": -2.0, "bass": 1.0, "lead": -2.0, "boom": -6.0, "vibes": 1.5, "brush": 1.0},
    guests=PARLOUR | {"grand": replace(PARLOUR["grand"], pans=(0.3, 0.7))},
    peak_dbfs=-4.0,
)
