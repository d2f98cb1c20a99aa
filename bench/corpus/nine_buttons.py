"""Nine Buttons: 108 to the minute, E minor. Funk: a clavinet, a talking bass, horns that answer."""

from __future__ import annotations

from arsis.demo.score import Part, Score

from .parts import BACKBEAT, REST, WHOLE, again, sing
from .stage import STAGE

_CLAV = "o.-x.-o.-.x.o-x. o.-x.-o.-.xoo-x-"
_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords="Em7 Em7 D A7 Em7 Em7 D A7",
    lanes={
        "kick": "X.....x.x.x..... X..x..x...x.....",
        "snare": "....X..-.-..X..-",
        "hat": "xoxoxoxoxoxoxoxo",
        "bass": "R.rR..o.R.r...fo R.rR..o.R...f.or",
        "clav": _CLAV,
        "guitar": "............o...",
    },
    melody=sing(
        "-:.5 E4:.5 G4:.5 A4:.5 B4:1 A4:.5 G4:.5 E4:1.5 G4:.5 A4:1 -:1 "
        "-:.5 F#4:.5 A4:.5 B4:.5 D5:.5 B4:.5 A4:1 A4:1 G4:.5 A4:.5 E4:1 -:1 "
        "-:.5 B4:.5 D5:.5 B4:.5 E5:1 D5:.5 B4:.5 G4:1.5 A4:.5 B4:1 -:1 "
        "-:.5 A4:.5 D5:.5 A4:.5 F#4:.5 A4:.5 D5:1 E5:1 D5:.5 A4:.5 E4:1 -:1",
        "ka lo ta na we ko sa mo la te",
    ),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="C D Em7 G C D Em7 Em7",
    lanes={
        "kick": "X..x..x.X.x..x..",
        "snare": "....X..-.-..X..-",
        "clap": BACKBEAT,
        "hat": "xoxoxo.oxoxoxo.o",
        "open": "......o.......o.",
        "jingle": "..o...o...o...o.",
        "bass": "R.rR..oRR.r.f.oo",
        "clav": "x.-x.-x.-.x.x-xo",
        "guitar": "..x.x.-.x.-.x.x.",
        "organ": "o===============",
        "brass": f"{REST} ......x.X===.... {REST} ....x.x.X==.x=..",
    },
    fill={"snare": "....X..-X.xxX.xx"},
    melody=sing(
        "E5:1.5 D5:.5 C5:1 E5:1 F#5:1.5 D5:.5 A4:1 -:1 G5:1 E5:.5 D5:.5 B4:1 E5:1 D5:3 -:1 "
        "E5:1.5 G5:.5 E5:1 C5:1 D5:1.5 F#5:.5 D5:1 -:1 B4:1 D5:.5 E5:.5 G5:1 E5:1 E5:3 -:1",
        "wa lo na so me la wo te",
    ),
    harmony=True,
)

NINE_BUTTONS = Score(
    name="nine-buttons",
    title="Nine Buttons",
    rate_hz=44_100,
    tempo_bpm=108.0,
    scale=(0, 2, 4, 6, 7, 9, 11),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=2,
            chords="Em7 A7",
            lanes={"clav": _CLAV, "hat": "xoxoxoxoxoxoxoxo", "kick": "X.......x......."},
            fill={"snare": "........x.x.xxXX"},
            fader_db=2.0,
        ),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2", tine="....o=....o=...."),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="bridge",
            kind="bridge",
            bars=4,
            chords="Am7 Am7 C D",
            lanes={
                "kick": "X.....x.x.x.....",
                "snare": "....x.......x...",
                "conga": "-.x.-.oo-.x.-.oo",
                "hat": "xoxoxoxoxoxoxoxo",
                "bass": "R.rR..o.R...f.or",
                "clav": _CLAV,
                "brass": f"{REST} ........x=X=.... {REST} ....x=..X===X===",
            },
            fill={"snare": "....x...x.xxXXXX"},
            fader_db=0.5,
        ),
        Part(
            name="outro",
            kind="outro",
            bars=2,
            chords="C Em7",
            lanes={**_VERSE.lanes, "brass": "....x.x.X==.x=.."},
            fill={
                "kick": "X...............",
                "snare": REST,
                "hat": REST,
                "bass": "R===............",
                "clav": "X===............",
                "guitar": "x===............",
                "organ": WHOLE,
                "brass": "X=======........",
            },
            rings_s=1.0,
        ),
    ),
    levels_db={"kick": -1.5, "snare": -1.5, "bass": 0.5, "clav": 0.0, "guitar": 0.5},
    guests=STAGE,
    glue_dbfs=-23.0,
    peak_dbfs=-2.0,
)
