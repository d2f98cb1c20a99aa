"""Paper Satellite: 134 to the minute, E flat minor. Synth pop: a pulsing bass, pads and a thin snare."""

from __future__ import annotations

from arsis.demo.score import Part, Score

from .band import GUESTS
from .parts import BACKBEAT, BEAT, CRASH, REST, WHOLE, again, sing

_FILL = {"crack": "....X...x.x.x.x.", "tom": "..x...x.........", "low_tom": "..........x...x."}
_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords="Ebm Ebm Gb Db Cb Ebm Abm Bbm",
    lanes={
        "thud": "X.....X...X.....",
        "crack": "....x.......x...",
        "hat": "..x...x...x...x.",
        "saw_bass": "RrrRrrRrRrrRrrRr",
        "haze": "o===============",
        "pluck": "x...o...x..o..o.",
    },
    fill=_FILL,
    melody=sing(
        "Bb4:1.5 Ab4:.5 Gb4:1 Ab4:1 Bb4:2 -:2 Bb4:1.5 Ab4:.5 Gb4:1 F4:1 Eb4:2 -:2 "
        "Cb5:1.5 Bb4:.5 Ab4:1 Bb4:1 Gb4:2 -:2 Ab4:1.5 Gb4:.5 F4:1 Ab4:1 Bb4:2 -:2",
        "no ta we la mo sa ne ko wa lo ti me",
    ),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="Cb Ebm Db Bbm Cb Ebm Abm Ebm",
    lanes={
        "thud": "X...X...X...X.x.",
        "crack": BACKBEAT,
        "clap": "....x.......x..-",
        "hat": "x.xxx.xxx.xxx.xx",
        "open": "..x...x...x...x.",
        "saw_bass": "R.R.R.RRR.R.R.OO",
        "stab": "x===x=..x=x=x=..",
        "haze": WHOLE,
        "pluck": "xoxoxoxoxoxoxoxo",
    }
    | CRASH,
    fill=_FILL,
    melody=sing(
        "-:.5 Eb5:.5 Eb5:.5 F5:.5 Gb5:2 F5:1 Eb5:1 Db5:1 -:1 -:.5 Db5:.5 Db5:.5 Eb5:.5 F5:2 Db5:1 Bb4:2 "
        "-:1 -:.5 Eb5:.5 Eb5:.5 F5:.5 Gb5:2 Ab5:1 Gb5:1 Eb5:1 -:1 -:.5 Cb5:.5 Cb5:.5 Db5:.5 Eb5:2 Db5:1 "
        "Eb5:2 -:1",
        "la wo te na lo se me wa no la ka",
    ),
    harmony=True,
)

PAPER_SATELLITE = Score(
    name="paper-satellite",
    title="Paper Satellite",
    rate_hz=44_100,
    tempo_bpm=134.0,
    scale=(1, 3, 5, 6, 8, 10, 11),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=4,
            chords="Ebm Ebm Cb Db",
            lanes={"saw_bass": "RrrRrrRrRrrRrrRr", "haze": "o===============", "hat": "..x...x...x...x."},
            fill={"crack": "........x...x.xx"},
        ),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2", stab="x=....x=....x=..", shaker="x.o.x.o.x.o.x.o."),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="break",
            kind="break",
            bars=4,
            chords="Abm Cb Ebm Db",
            lanes={
                "thud": BEAT,
                "haze": WHOLE,
                "pluck": "x...o...x..o..o.",
                "riser": f"{REST} {REST} {WHOLE} {REST}",
            },
            fill={"thud": REST, "crack": "x.x.x.x.xxxxXXXX"},
        ),
        again(_REFRAIN, "refrain 3"),
        Part(
            name="outro",
            kind="outro",
            bars=2,
            chords="Cb Ebm",
            lanes={"saw_bass": "RrrRrrRrRrrRrrRr", "haze": WHOLE, "thud": BEAT},
            fill={"saw_bass": "R===============", "thud": "X...............", "stab": WHOLE},
            rings_s=2.0,
        ),
    ),
    levels_db={"thud": -0.5, "crack": -1.0, "saw_bass": -1.0, "haze": 1.5, "pluck": -1.0, "lead": 0.5},
    guests=GUESTS,
    peak_dbfs=-1.0,
)
