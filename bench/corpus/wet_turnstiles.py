"""Wet Turnstiles: 131 to the minute, C sharp minor. Two-step garage: skipping kicks, a sub, organ, claps."""

from __future__ import annotations

from arsis.demo.score import Part, Score

from .parlour import PARLOUR
from .parts import BACKBEAT, REST, WHOLE, again, sing

_SKIP = "X.........x..... X.....x...x....."
_HATS = "..x..-x...x..ox."
_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords="C#m7 C#m7 F#m7 G#m7",
    lanes={
        "thud": _SKIP,
        "crack": BACKBEAT,
        "hat": _HATS,
        "rim": "...o...o.o...... .......o.o....o.",
        "sub": "R==....r=.f===.. R==...R=..r==.o=",
        "organ": "...x..x=........ ...x..x=...x....",
    },
    fill={"crack": "....X..o.x..X.xx"},
    melody=sing(
        "-:.5 G#4:.5 G#4:.5 B4:1 C#5:.5 B4:.5 -:.5 G#4:.5 F#4:.5 E4:1 G#4:1 -:1 "
        "-:.5 A4:.5 A4:.5 C#5:1 E5:.5 C#5:.5 -:.5 B4:.5 G#4:.5 F#4:1 D#4:1 -:1 "
        "-:.5 G#4:.5 G#4:.5 B4:1 C#5:.5 B4:.5 -:.5 E5:.5 D#5:.5 C#5:1 B4:1 -:1 "
        "-:.5 A4:.5 C#5:.5 A4:1 F#4:.5 A4:.5 -:.5 G#4:1 B4:1 G#4:1 -:1",
        "na ko la te so wa me lo ta",
    ),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="Amaj7 B C#m7 G#m7 Amaj7 F#m7 G#m7 C#m7",
    lanes={
        "thud": _SKIP,
        "crack": BACKBEAT,
        "clap": BACKBEAT,
        "hat": "x.x.-x.xx.x.-xox",
        "shaker": "xoxoxoxoxoxoxoxo",
        "sub": "R==....r=.f===.. R==...R=..r==.o=",
        "organ": "...x..x=........ ...x..x=...x....",
        "stab": "x..x..x=..x..x=.",
        "pad": "o===============",
    },
    fill={"crack": "....X..x.x.xX.xX"},
    melody=sing(
        "E5:1.5 C#5:.5 E5:.5 G#5:1 F#5:1 D#5:.5 B4:1 F#5:.5 D#5:.5 -:1 "
        "E5:1.5 C#5:.5 B4:.5 C#5:1 B4:1.5 G#4:2.5 -:1 "
        "E5:1.5 C#5:.5 E5:.5 G#5:1 A5:1 F#5:.5 C#5:1 E5:.5 C#5:.5 -:1 "
        "D#5:1.5 B4:.5 G#4:.5 B4:1 C#5:3 -:1",
        "wa no le so ka ma lo we na",
    ),
    harmony=True,
)

WET_TURNSTILES = Score(
    name="wet-turnstiles",
    title="Wet Turnstiles",
    rate_hz=44_100,
    tempo_bpm=131.0,
    scale=(1, 3, 4, 6, 8, 9, 11),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=4,
            chords="C#m7 C#m7 F#m7 G#m7",
            lanes={"hat": _HATS, "crack": BACKBEAT, "thud": _SKIP, "organ": "...x..x=...x...."},
        ),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2", pluck="......o..o....o. ..o......o..o..."),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="drop out",
            kind="break",
            bars=4,
            chords="Amaj7 B C#m7 G#m7",
            lanes={"pad": WHOLE, "stab": "x..x..x=........", "vibes": "o=..o=..x=..o=..", "clap": BACKBEAT},
            fill={"crack": "x..x..x..xx.xxXX"},
        ),
        again(_REFRAIN, "refrain 3", vibes="x=......o=...... ....x=......o=.."),
        Part(
            name="outro",
            kind="outro",
            bars=4,
            chords="C#m7 C#m7 F#m7 C#m7",
            lanes=_VERSE.lanes,
            fill={
                "thud": "X...............",
                "crack": REST,
                "hat": REST,
                "rim": REST,
                "sub": "R=======........",
                "organ": "x===............",
            },
        ),
    ),
    levels_db={
        "organ": 3.0,
        "sub": 0.5,
        "hat": 1.5,
        "shaker": -1.0,
        "stab": -2.5,
        "crack": -2.0,
        "clap": -1.0,
    },
    guests=PARLOUR,
    peak_dbfs=-1.6,
)
