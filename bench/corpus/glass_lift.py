"""Glass Lift: 121 to the minute, C minor. Disco: four on the floor, a bass in octaves, strings, dry chops."""

from __future__ import annotations

from dataclasses import replace

from arsis.demo.score import Part, Score

from .band import GUESTS
from .parts import BACKBEAT, BEAT, CRASH, REST, WHOLE, again, sing

_FILL = {"snare": "....X.....x.X.x.", "tom": "............x.x."}
_INTRO = {
    "kick": BEAT,
    "hat": "x.-xx.-xx.-xx.-x",
    "guitar": "..x..x.o..x..x..",
    "pad": "o===============",
}
_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords="Cm7 Cm7 Gm7 Cm7 Fm7 Fm7 Abmaj7 Gm7",
    lanes={
        "kick": BEAT,
        "snare": "....o.......o...",
        "open": "..o...o...o...o.",
        "bass": "R=.rO=.rR=.rO=.r R=.rO=.rF=.rO=fr",
        "guitar": "..x..x.o..x..x..",
        "tine": "o=======........",
    },
    fill=_FILL,
    melody=sing(
        "-:1 G4:.5 G4:.5 Bb4:.5 C5:1 Bb4:.5 G4:1.5 -:2.5 -:1 G4:.5 Bb4:.5 C5:.5 Eb5:1 D5:.5 C5:2 -:2 "
        "-:1 Ab4:.5 Ab4:.5 C5:.5 C5:1 Bb4:.5 Ab4:1.5 -:2.5 -:1 G4:.5 Ab4:.5 Bb4:.5 D5:1 C5:.5 Bb4:2 -:2",
        "te na lo ka wa me so la ta no pi we lo",
    ),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="Abmaj7 Cm7 Abmaj7 Bb Cm7 Fm7 Gm7 Cm7",
    lanes={
        "kick": BEAT,
        "snare": BACKBEAT,
        "clap": BACKBEAT,
        "open": "..x...x...x...x.",
        "hat": "x.-xx.-xx.-xx.-x",
        "bass": "R.O.R.O.R.O.R.O. R.O.R.O.F.O.R.Oo",
        "guitar": "x.ox.xo.x.ox.xo.",
        "tine": "x===..x=x===..x=",
        "pad": "X=======x=======",
        "pluck": "....o.o.....o.oo",
    }
    | CRASH,
    fill=_FILL,
    melody=sing(
        "Eb5:1.5 D5:.5 C5:1 Bb4:1 C5:2 G4:1 -:1 Eb5:1.5 D5:.5 C5:1 Eb5:1 F5:3 -:1 "
        "Eb5:1.5 F5:.5 G5:1 F5:1 Eb5:2 C5:1 -:1 D5:1.5 C5:.5 Bb4:1 D5:1 C5:3 -:1",
        "la wo na te lo me sa wa no lo te",
    ),
    harmony=True,
)

GLASS_LIFT = Score(
    name="glass-lift",
    title="Glass Lift",
    rate_hz=44_100,
    tempo_bpm=121.0,
    scale=(0, 2, 3, 5, 7, 8, 10),
    parts=(
        Part(name="intro", kind="intro", bars=4, chords="Cm7 Cm7 Abmaj7 Bb", lanes=_INTRO, fill=_FILL),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2", shaker="x-o-x-o-x-o-x-o-"),
        again(_REFRAIN, "refrain 2", jingle="..x...x...x...x."),
        Part(
            name="outro",
            kind="outro",
            bars=4,
            chords="Abmaj7 Bb Cm7 Cm7",
            lanes=_INTRO | {"bass": "R=.rO=.rR=.rO=.r"},
            fill={
                "kick": "X...............",
                "hat": REST,
                "guitar": REST,
                "bass": "R===============",
                "pad": WHOLE,
            },
            rings_s=2.0,
        ),
    ),
    levels_db={"kick": -1.0, "bass": 1.0, "guitar": -1.5, "pad": 2.5, "open": 1.0, "clap": -2.0, "lead": 0.5},
    guests=GUESTS | {"tine": replace(GUESTS["tine"], pans=(-0.2, 0.6))},
    peak_dbfs=-2.2,
)
