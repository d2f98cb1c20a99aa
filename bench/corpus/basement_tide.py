"""Basement Tide: 122 to the minute, D minor. House, deep and even: a round bass, organ chords, few words."""

from __future__ import annotations

from dataclasses import replace

from arsis.demo.score import Part, Score

from .horns import PLAYERS
from .parts import BACKBEAT, BEAT, OFFBEAT, REST, WHOLE, again, sing

_BASS = "R=.r..R=.r..f=.. R=.r..R=.ro=..f="
_CHORDS = "x..x..x....x.x.."
_FLOOR = {"thud": BEAT, "hat": "-.x--.x--.x--.x-", "sub": _BASS}

_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords="Dm7 Dm7 Gm7 Am7",
    lanes=_FLOOR
    | {"clap": BACKBEAT, "open": "..o...o...o...o.", "tine": _CHORDS, "haze": "o==============="},
    melody=sing(
        "-:2 A4:.5 C5:.5 D5:1 C5:1 A4:1 -:2 -:2 D5:.5 C5:.5 Bb4:1 A4:1 G4:1 -:2 "
        "-:2 A4:.5 C5:.5 D5:1 F5:1 D5:1 -:2 -:2 D5:.5 C5:.5 Bb4:1 C5:1 A4:1 -:2",
        "no la wa so ma le",
    ),
)
_BUILD = Part(
    name="build 1",
    kind="build",
    bars=4,
    chords="Bbmaj7 Gm7 Bbmaj7 Am7",
    lanes={
        "thud": BEAT,
        "hat": "x.x.x.x.x.x.x.x.",
        "sub": "R===============",
        "tine": "o===============",
        "haze": "o===============",
        "clap": f"{BACKBEAT} {BACKBEAT} {BEAT} {BEAT}",
        "riser": f"{REST} {REST} {WHOLE} {WHOLE}",
    },
    fill={"thud": "X...X..........."},
    melody=sing("F5:2 D5:1 C5:1 D5:3 -:1 F5:2 G5:1 F5:1 E5:3 -:1", "na lo wa me so"),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="Dm7 Bbmaj7 Gm7 Am7",
    lanes={
        "thud": BEAT,
        "hat": "-.x--.x--.x--.xo",
        "sub": _BASS,
        "clap": BACKBEAT,
        "open": OFFBEAT,
        "shaker": "x-o-x-o-x-o-x-o-",
        "organ": _CHORDS,
        "stab": "o..o..o....o.o..",
        "conga": "..o.o..o..o.X.o.",
        "haze": "o===============",
        "tine": _CHORDS,
    },
    melody=sing(
        "D5:1.5 F5:.5 D5:1 C5:1 D5:2 -:2 D5:1.5 F5:.5 G5:1 F5:1 E5:2 -:2 "
        "D5:1.5 F5:.5 D5:1 C5:1 A5:2 -:2 G5:1.5 F5:.5 D5:1 C5:1 D5:2 -:2",
        "wa lo na we ma no so la",
    ),
    harmony=True,
)

BASEMENT_TIDE = Score(
    name="basement-tide",
    title="Basement Tide",
    rate_hz=44_100,
    tempo_bpm=122.0,
    scale=(0, 2, 4, 5, 7, 9, 10),
    parts=(
        Part(name="intro", kind="intro", bars=4, chords="Dm7", lanes=_FLOOR | {"rim": "...x..x....x.x.."}),
        _VERSE,
        _BUILD,
        _REFRAIN,
        again(_VERSE, "verse 2", conga="..o.o..o..o.X.o."),
        again(_BUILD, "build 2"),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="outro",
            kind="outro",
            bars=4,
            chords="Dm7",
            lanes=_FLOOR | {"organ": "o..o..o....o.o..", "shaker": "x-o-x-o-x-o-x-o-"},
            fill={"thud": "X...............", "hat": REST, "sub": "R===============", "organ": WHOLE},
            rings_s=1.5,
        ),
    ),
    levels_db={"thud": -0.5, "sub": -1.5, "tine": 1.5, "organ": 1.0, "stab": -1.0, "lead": 0.5, "haze": 1.5},
    guests=PLAYERS | {"clap": replace(PLAYERS["clap"], level_db=-16.5)},
    glue_dbfs=-24.0,
    peak_dbfs=-1.0,
)
