"""Milk Window: 112 to the minute, E major. Walls of guitar round a soft voice; half as many in the verses."""

from __future__ import annotations

from dataclasses import replace

from arsis.demo.score import Part, Score

from .horns import PLAYERS
from .parts import BACKBEAT, CRASH, EIGHTHS, WHOLE, again, sing

_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords="Eadd9 Eadd9 C#m7 C#m7 Amaj7 Amaj7 B B",
    lanes={
        "kick": "X.....x.X.......",
        "snare": BACKBEAT,
        "hat": EIGHTHS,
        "picked_bass": "r=r=r=r=r=r=r=r=",
        "guitar": "o===-===o===-===",
        "twang": "o.o.o.o.o.o.o.o.",
        "haze": "o===============",
    },
    melody=sing(
        "-:1 G#4:2 B4:1 B4:2 F#4:2 -:1 G#4:2 E4:1 G#4:3 -:1 "
        "-:1 C#5:2 B4:1 G#4:2 E4:2 -:1 F#4:2 G#4:1 F#4:3 -:1",
        "lo wa nu me la no",
    ),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="Amaj7 Amaj7 Eadd9 Eadd9 C#m7 C#m7 B B",
    lanes={
        "kick": "X.....x.X.x.....",
        "snare": BACKBEAT,
        "open": "x...x...x...x...",
        "picked_bass": "R=R=R=R=R=R=R=R=",
        "wall": "X=======X=====x=",
        "guitar": "X===x===X===x===",
        "twang": "x.x.x.x.x.x.x.x.",
        "haze": WHOLE,
    }
    | CRASH,
    fill={"snare": "....X...X.X.XxXX", "low_tom": "..........x.x.x."},
    melody=sing(
        "C#5:3 E5:1 G#5:2 E5:1 -:1 F#5:3 E5:1 B4:3 -:1 C#5:3 E5:1 G#5:2 E5:1 -:1 F#5:2 D#5:2 B4:3 -:1",
        "wa lo nu la so me",
    ),
    harmony=True,
)

MILK_WINDOW = Score(
    name="milk-window",
    title="Milk Window",
    rate_hz=48_000,
    tempo_bpm=112.0,
    scale=(1, 3, 4, 6, 8, 9, 11),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=4,
            chords="Eadd9 Eadd9 Amaj7 B",
            lanes={
                "guitar": "x===o===x===o===",
                "haze": WHOLE,
                "picked_bass": "r=r=r=r=r=r=r=r=",
                "hat": EIGHTHS,
            },
            fill={"snare": "........x.x.xXXX"},
        ),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2", shaker="x-o-x-o-x-o-x-o-"),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="drone",
            kind="outro",
            bars=8,
            chords="Amaj7 Amaj7 Eadd9 Eadd9",
            lanes={lane: line for lane, line in _REFRAIN.lanes.items() if lane != "crash"},
            fill=dict.fromkeys(("kick", "snare", "open"), "X...............")
            | {"picked_bass": "R===============", "wall": WHOLE, "guitar": WHOLE, "twang": WHOLE},
            grows_db=-1.0,
            rings_s=2.5,
        ),
    ),
    levels_db={
        "kick": -0.5,
        "wall": -2.0,
        "guitar": 0.5,
        "haze": 4.0,
        "lead": 0.0,
        "harmony": 1.0,
        "twang": -1.0,
    },
    guests=PLAYERS | {"twang": replace(PLAYERS["twang"], room_db=-4.0)},
    glue_dbfs=-26.0,
    peak_dbfs=-1.4,
)
