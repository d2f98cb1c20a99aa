"""Harbour Lights: 124 to the minute, F minor. Four on the floor, all machines but the voice."""

from __future__ import annotations

from arsis.demo.score import Part, Score

from .band import GUESTS
from .parts import BACKBEAT, BEAT, CRASH, REST, WHOLE, again, sing

_CHORDS = "Fm Db Ab Eb"
_INTRO = {"thud": BEAT, "hat": "..x...x...x...x.", "stab": "x..x..x.........", "haze": WHOLE}
_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords=_CHORDS,
    lanes={
        "thud": BEAT,
        "clap": "............x...",
        "hat": "..x.-.x.-.x.-.x-",
        "saw_bass": "..R=..r=..R=..ro",
        "pluck": "x..o..o.x..o..o.",
        "haze": "o===============",
    },
    melody=sing(
        "C5:1 Bb4:.5 Ab4:.5 Bb4:1 Ab4:1 F4:3 -:1 Ab4:1 Ab4:.5 Bb4:.5 C5:1 Bb4:1 G4:3 -:1 "
        "C5:1 Bb4:.5 Ab4:.5 Bb4:1 C5:1 Db5:2 C5:1 -:1 Bb4:1 Bb4:.5 Ab4:.5 G4:1 Ab4:1 F4:3 -:1",
        "na lo se wa ne mo ta le so na wa ka te lo me",
    ),
)
_BUILD = Part(
    name="build 1",
    kind="build",
    bars=4,
    chords="Db Db Eb Eb",
    lanes={
        "thud": f"{BEAT} {BEAT} {BEAT} {REST}",
        "crack": f"{REST} ....-.......-... -...-...-...-... -.-.-.-.o.o.o.oo",
        "saw_bass": "r.r=r.r=r.r=r.r=",
        "stab": "o..o..o.o..o..o.",
        "haze": WHOLE,
        "riser": f"{REST} {REST} X=============== {REST}",
    },
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords=_CHORDS,
    lanes={
        "thud": BEAT,
        "clap": BACKBEAT,
        "open": "..x...x...x...x.",
        "shaker": "o-x-o-x-o-x-o-x-",
        "saw_bass": "R.r=R.r=R.r=R.ro",
        "stab": "X==x==x=..x=x=..",
        "pluck": "x.ox.ox.x.ox.ox.",
        "haze": WHOLE,
    }
    | CRASH,
    melody=sing(
        "F5:1.5 Eb5:.5 C5:1 Db5:1 Ab4:3 -:1 C5:1.5 Bb4:.5 Ab4:1 Bb4:1 C5:3 -:1 "
        "F5:1.5 Eb5:.5 C5:1 Db5:1 Eb5:2 Db5:1 C5:1 Bb4:1.5 Ab4:.5 G4:1 Bb4:1 F4:3 -:1",
        "la wo ne ta mo se la no wa te mo",
    ),
    harmony=True,
)

HARBOUR_LIGHTS = Score(
    name="harbour-lights",
    title="Harbour Lights",
    rate_hz=44_100,
    tempo_bpm=124.0,
    scale=(0, 1, 3, 5, 7, 8, 10),
    parts=(
        Part(name="intro", kind="intro", bars=4, chords=_CHORDS, lanes=_INTRO),
        _VERSE,
        _BUILD,
        _REFRAIN,
        again(_VERSE, "verse 2", shaker="-.o.-.o.-.o.-.o."),
        again(_BUILD, "build 2"),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="outro",
            kind="outro",
            bars=4,
            chords="Fm Db Ab Fm",
            lanes=_INTRO,
            fill={"thud": "X...............", "hat": REST, "stab": "x==============="},
            rings_s=2.0,
        ),
    ),
    guests=GUESTS,
    peak_dbfs=-2.0,
)
