"""Second Ladder: 6/8, 64 dotted beats a minute, E flat major. Gospel: piano, organ, voices, a big kit."""

from __future__ import annotations

from arsis.demo.score import Part, Score

from .parlour import PARLOUR
from .parts import again, sing

_LONG = "x==========="
_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords="Eb Eb7 Ab Eb Cm F7 Bb7 Bb7",
    lanes={
        "kick": "X........o..",
        "snare": "......x.....",
        "hat": "x.o.o.x.o.o.",
        "bass": "R=====r=..f=",
        "grand": "x.o.o.x.o.o.",
        "organ": "-===========",
    },
    fill={"snare": "......x.oxxX"},
    melody=sing(
        "-:.5 G4:.5 Bb4:.5 C5:1 Bb4:.5 G4:1.5 Bb4:1 -:.5 -:.5 Ab4:.5 C5:.5 Eb5:1 C5:.5 Bb4:2 -:1 "
        "-:.5 G4:.5 Bb4:.5 C5:1 Eb5:.5 C5:1.5 A4:1 -:.5 Bb4:1 C5:.5 D5:1 F5:.5 D5:2 -:1",
        "lo na we so ma ta la no",
    ),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="Ab Bb Gm Cm Ab Bb7 Eb Eb",
    lanes={
        "kick": "X....xX..o..",
        "snare": "......X.....",
        "jingle": "x.o.o.X.o.o.",
        "hat": "x.x.x.x.x.x.",
        "crash": f"x........... {'............ ' * 7}",
        "bass": "R===r=R===f=",
        "grand": "X.o.x.X.o.x.",
        "organ": "o===========",
        "pad": _LONG,
    },
    fill={"snare": "......X.xxXX", "tom": "......x.x...", "low_tom": "..........xx"},
    melody=sing(
        "Eb5:1.5 C5:.5 Eb5:.5 Ab5:.5 F5:2 D5:.5 -:.5 D5:1.5 Bb4:.5 D5:.5 F5:.5 Eb5:2 -:1 "
        "Eb5:1.5 C5:.5 Eb5:.5 Ab5:.5 G5:1 F5:.5 D5:1 F5:.5 Eb5:3 Bb4:1 G4:.5 -:1.5",
        "wa lo la se no ma we ta",
    ),
    harmony=True,
)

SECOND_LADDER = Score(
    name="second-ladder",
    title="Second Ladder",
    rate_hz=48_000,
    tempo_bpm=96.0,
    scale=(0, 2, 3, 5, 7, 8, 10),
    steps=12,
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=4,
            chords="Eb Ab Eb Bb7",
            lanes={"grand": "x.o.o.x.o.o.", "organ": "o===========", "hat": "x.....x....."},
            fill={"snare": "......x.oxxX"},
        ),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2", brass="............ ........o=..", jingle="......o....."),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="bridge",
            kind="bridge",
            bars=4,
            chords="Cm Gm Ab Bb7",
            lanes={
                "kick": "X.....x.....",
                "clap": "......x.....",
                "bass": "R=====R=====",
                "organ": "x===========",
                "grand": "x.....x.....",
            },
            fill={"snare": "x.x.x.xxxxXX"},
            melody=sing("G5:1.5 Eb5:1 D5:.5 D5:2 -:1 Eb5:1.5 C5:1.5 D5:2 -:1", "no we la so"),
        ),
        again(_REFRAIN, "refrain 3", brass="x=====x===.. x===..X====="),
        Part(
            name="outro",
            kind="outro",
            bars=2,
            chords="Ab Eb",
            lanes=_VERSE.lanes,
            fill={
                "kick": "X...........",
                "snare": "............",
                "hat": "............",
                "bass": "R===========",
                "grand": _LONG,
                "organ": "o===========",
            },
            rings_s=2.0,
        ),
    ),
    levels_db={"organ": 1.5, "grand": 0.5, "harmony": 4.0, "snare": -1.5, "kick": -1.0, "jingle": -2.0},
    guests=PARLOUR,
    glue_dbfs=-23.0,
    peak_dbfs=-2.6,
)
