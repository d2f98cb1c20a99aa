"""Nickel Street: 140 to the minute in half time, C sharp minor. A sparse loop under a spoken voice."""

from __future__ import annotations

from arsis.demo.score import Part, Score

from .band import GUESTS
from .parts import REST, WHOLE, again, sing

_WORDS = "ka ta po ne si ta ko la ta me pa so ti na ka wo te"
_ASKED = sing(
    "-:1 C#4:.5 C#4:.5 E4:.5 C#4:.5 B3:.5 C#4:.5 C#4:1 -:1 E4:.5 E4:.5 C#4:1 "
    "-:.5 C#4:.5 C#4:.5 E4:.5 F#4:.5 E4:.5 C#4:1 B3:.5 C#4:1 -:2.5",
    _WORDS,
)
_ANSWERED = sing(
    "-:1 E4:.5 E4:.5 F#4:.5 E4:.5 C#4:.5 E4:.5 C#4:1 -:1 C#4:.5 B3:.5 C#4:1 "
    "-:.5 F#4:.5 E4:.5 C#4:.5 E4:.5 C#4:.5 B3:1 C#4:1.5 -:2.5",
    _WORDS,
)
_LOOP = "C#m C#m A G#m"
_FILL = {"crack": "........X.....xx"}
_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=12,
    chords=_LOOP,
    lanes={
        "boom": "X.........x..... X.....x.........",
        "crack": "........X.......",
        "hat": "x.x.x.x.x.x.x.oo x.x.x.xxx.x.ooo.",
        "sub": "R=======..r===.. R=====r=........",
        "keys": f"x=====..o=...... {REST}",
    },
    fill=_FILL,
    melody=f"{_ASKED} {_ANSWERED} {_ASKED}",
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="A E C#m G#m",
    lanes={
        "boom": "X.....x...x..... X.....x...x...x.",
        "crack": "........X.......",
        "clap": "........X.......",
        "hat": "x.x.x.xxx.x.x.oo x.xxx.x.x.x.oooo",
        "open": "......o.........",
        "rim": "...-..-......-..",
        "sub": "R=====R=..R=====",
        "keys": "x=====x=o===x===",
        "haze": "o===============",
        "pluck": "o..-..o...-.o...",
    },
    fill=_FILL,
    melody=sing(
        "G#4:2 E4:1 F#4:1 G#4:3 -:1 B4:2 A4:1 G#4:1 E4:3 -:1 "
        "C#5:2 B4:1 G#4:1 A4:3 -:1 F#4:2 G#4:1 E4:1 C#4:3 -:1",
        "wa lo ne so la ma wo na te",
    ),
    harmony=True,
)

NICKEL_STREET = Score(
    name="nickel-street",
    title="Nickel Street",
    rate_hz=44_100,
    tempo_bpm=140.0,
    scale=(1, 3, 4, 6, 8, 9, 11),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=4,
            chords=_LOOP,
            lanes={"keys": f"x=====..o=...... {REST}", "haze": "-===============", "rim": "........x......."},
        ),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2", shaker="..x...x...x...x.", twang=f"{REST} {REST} o=..o=..-======= {REST}"),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="outro",
            kind="outro",
            bars=2,
            chords="A C#m",
            lanes={"keys": "x=====x=o===x===", "sub": "R===============", "haze": WHOLE},
            fill={"keys": WHOLE},
            rings_s=2.0,
        ),
    ),
    levels_db={"boom": -1.0, "sub": 0.0, "hat": -2.0, "keys": 2.0, "lead": 2.0, "haze": 1.5},
    guests=GUESTS,
    peak_dbfs=-1.6,
)
