"""Short Fuse: 170 to the minute, A major. Fast, three players and a shout."""

from __future__ import annotations

from arsis.demo.score import Part, Score

from .band import GUESTS
from .parts import BACKBEAT, BEAT, CRASH, REST, again, sing

_VERSE_LINE = sing(
    "A4:.5 A4:.5 A4:1 C#5:1 B4:1 A4:2 -:2 A4:.5 A4:.5 A4:1 B4:1 A4:1 F#4:2 -:2 "
    "D4:.5 F#4:.5 A4:1 B4:1 A4:1 F#4:2 -:2 E4:.5 E4:.5 A4:1 B4:1 C#5:1 B4:2 -:2",
    "ta ka no pa we la so te na ko la",
)
_REFRAIN_LANES = {
    "punch": "X..x..X.X..x..X.",
    "crack": BACKBEAT,
    "open": "x...x...x...x...",
    "picked_bass": "R=R=R=R=R=R=R=O=",
    "wall": "X=x=x=x=X=x=x=x=",
    "guitar": "x===x===x===x===",
}
_FILL = {"crack": "X.x.X.x.X.xxXxxx"}
_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=16,
    chords="A A D D A A E E D D A A E E A E",
    lanes={
        "punch": BEAT,
        "crack": "..X...X...X...X.",
        "hat": "x.x.x.x.x.x.x.x.",
        "picked_bass": "R=r=R=r=R=r=R=r=",
        "wall": "X=o.x=o.X=o.x=o.",
    },
    fill=_FILL,
    melody=f"{_VERSE_LINE} {_VERSE_LINE}",
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="A E D A A E D A",
    lanes=_REFRAIN_LANES | CRASH,
    fill=_FILL,
    melody=sing(
        "C#5:1.5 C#5:.5 B4:1 A4:1 E5:3 -:1 D5:1.5 D5:.5 C#5:1 B4:1 A4:3 -:1 "
        "C#5:1.5 C#5:.5 B4:1 A4:1 E5:2 F#5:1 E5:1 D5:1.5 C#5:.5 B4:1 G#4:1 A4:3 -:1",
        "wa lo na te ma so la no ka wo",
    ),
    harmony=True,
)

SHORT_FUSE = Score(
    name="short-fuse",
    title="Short Fuse",
    rate_hz=44_100,
    tempo_bpm=170.0,
    scale=(1, 2, 4, 6, 8, 9, 11),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=4,
            chords="A D E E",
            lanes={"wall": "X=o.x=o.X=o.x=o.", "punch": BEAT, "hat": "x...x...x...x..."},
            fill=_FILL,
        ),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2"),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="bridge",
            kind="bridge",
            bars=4,
            chords="F#m F#m D E",
            lanes={
                "punch": "X.......X.......",
                "low_tom": "x.x.x.x.x.x.x.x.",
                "picked_bass": "R=======R=======",
                "wall": "X=======X=======",
            },
            fill=_FILL,
            melody=sing("A4:2 G#4:1 F#4:1 C#5:3 -:1 D5:2 C#5:1 B4:1 E5:3 -:1", "no wa le so"),
        ),
        Part(
            name="refrain 3",
            kind="chorus",
            bars=9,
            chords="A E D A A E D A A",
            lanes=_REFRAIN_LANES | CRASH,
            fill={
                "punch": "X...............",
                "crack": "X...............",
                "open": REST,
                "crash": "x...............",
                "picked_bass": "R===============",
                "wall": "X===============",
                "guitar": "x===============",
            },
            melody=_REFRAIN.melody,
            harmony=True,
            rings_s=1.5,
        ),
    ),
    levels_db={"punch": -2.0, "crack": -1.0, "lead": 1.0},
    guests=GUESTS,
    glue_dbfs=-28.0,
    peak_dbfs=-0.8,
)
