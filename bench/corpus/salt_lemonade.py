"""Salt Lemonade: 95 to the minute, B flat minor. Dembow: a kick, a snare in threes, a sub, small bells."""

from __future__ import annotations

from arsis.demo.score import Part, Score

from .parlour import PARLOUR
from .parts import BEAT, EIGHTHS, REST, WHOLE, again, sing

_DEMBOW = "...x..x....x..x."
_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords="Bbm Gb Ab Fm",
    lanes={
        "thud": BEAT,
        "crack": _DEMBOW,
        "hat": EIGHTHS,
        "sub": "R==R==r=R==R==f=",
        "pluck": "o..o..o.o..o..o.",
        "guitar": "......x.......x.",
    },
    fill={"crack": "...x..x....xxxXX"},
    melody=sing(
        "F4:.5 F4:.5 Ab4:.5 Bb4:.5 Bb4:.5 Ab4:.5 F4:.5 -:.5 Gb4:.5 Bb4:.5 Db5:1 Bb4:1 -:1 "
        "Ab4:.5 Ab4:.5 C5:.5 Eb5:.5 C5:.5 Ab4:.5 Eb4:.5 -:.5 F4:.5 Ab4:.5 C5:1 Ab4:1 -:1 "
        "F4:.5 F4:.5 Ab4:.5 Bb4:.5 Db5:.5 Bb4:.5 Ab4:.5 -:.5 Bb4:.5 Db5:.5 Eb5:1 Db5:1 -:1 "
        "C5:.5 C5:.5 Eb5:.5 C5:.5 Ab4:.5 C5:.5 Bb4:.5 -:.5 Ab4:.5 C5:.5 Ab4:1 F4:1 -:1",
        "ta ko la no se we ma lo pa",
    ),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="Gb Ab Bbm Bbm Gb Ab Fm Bbm",
    lanes={
        "thud": BEAT,
        "crack": _DEMBOW,
        "clap": "...o..x....o..x.",
        "hat": "x.xxx.x.x.xxx.xx",
        "jingle": "..o...o...o...o.",
        "sub": "R==R==R=R==R==F=",
        "pluck": "x..x..x.x..x..x.",
        "stab": "o===....x==x==o=",
        "haze": "o===============",
    },
    fill={"crack": "...x..x.x.x.xXXX", "low_tom": "........x..x..x."},
    melody=sing(
        "Db5:1.5 Bb4:.5 Db5:1 F5:1 Eb5:1.5 C5:.5 Ab4:1 -:1 Db5:1 C5:.5 Bb4:.5 F5:1 Db5:1 Bb4:3 -:1 "
        "Db5:1.5 Bb4:.5 Db5:1 F5:1 Eb5:1.5 F5:.5 Ab5:1 -:1 F5:1 Eb5:.5 C5:.5 Ab4:1 C5:1 Bb4:3 -:1",
        "wa no la so me lo na we",
    ),
    harmony=True,
)

SALT_LEMONADE = Score(
    name="salt-lemonade",
    title="Salt Lemonade",
    rate_hz=44_100,
    tempo_bpm=95.0,
    scale=(0, 1, 3, 5, 6, 8, 10),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=4,
            chords="Bbm Gb Ab Fm",
            lanes={
                "pluck": "o..o..o.o..o..o.",
                "guitar": "......x.......x.",
                "haze": "o===============",
                "hat": EIGHTHS,
            },
            fill={"crack": "............xxXX"},
            fader_db=2.0,
        ),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2", marimba="......o..o......"),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="outro",
            kind="outro",
            bars=4,
            chords="Gb Ab Bbm Bbm",
            lanes={**_VERSE.lanes, "haze": WHOLE},
            fill={
                "thud": "X...............",
                "crack": "...x............",
                "hat": REST,
                "sub": "R=======........",
                "pluck": "x..x..x.........",
                "guitar": REST,
            },
        ),
    ),
    levels_db={
        "pluck": 3.0,
        "crack": -3.0,
        "guitar": 1.0,
        "sub": 1.0,
        "haze": 1.5,
        "stab": -1.0,
        "thud": -1.0,
    },
    guests=PARLOUR,
    peak_dbfs=-1.8,
)
