"""Paper Mango: 116 to the minute, G major. Two guitars woven together, hand drums, horns that answer."""

from __future__ import annotations

from dataclasses import replace

from arsis.demo.score import Part, Score
from arsis.demo.tone import Hump

from .horns import PLAYERS
from .parts import BEAT, REST, WHOLE, again, sing

_NEAR = (Hump(2_600.0, 5.0, 2.5),)  # both guitars are taken close and bright
_CALL = sing(
    "-:.5 D5:.5 B4:.5 D5:.5 E5:1 D5:1 B4:1 A4:.5 G4:.5 E4:1 -:1 "
    "-:.5 A4:.5 B4:.5 A4:.5 G4:1 E4:1 F#4:.5 G4:.5 A4:1 -:2",
    "ka lo na te wa mo la",
)
_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords="G C D G G C D D",
    lanes={
        "kick": BEAT,
        "rim": "x..x..x...x.x...",
        "shaker": "x-oox-oox-oox-oo",
        "conga": "o..oX.o.o..oX.oo",
        "bass": "R=.r..f=R=.ro=f.",
        "twang": "x.ox.o.xx.ox.o.x",
        "pluck": ".-o..-o..-o..-o.",
    },
    melody=f"{_CALL} {_CALL}",
    music_tone=_NEAR,
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="C D G Em C D G G",
    lanes={
        "kick": BEAT,
        "snare": "...o..o....o..o.",
        "rim": "x..x..x...x.x...",
        "shaker": "X-oox-oxX-oox-ox",
        "conga": "o.XoX.o.o.XoX.oo",
        "bass": "R=.rR=f=R=.ro=fo",
        "twang": "x.oxxo.xx.oxxo.x",
        "pluck": "o-oxo-oxo-oxo-ox",
        "brass": f"........x..x=... x==.....X...x=== {REST} ....x=.x..x.X===",
        "guitar": "..o...o...o...o.",
    },
    fill={"snare": "...o..o.x.xxXxXX", "tom": "............x.x."},
    melody=sing(
        "E5:1 E5:.5 D5:.5 C5:1 G4:1 F#5:1 E5:.5 D5:.5 A4:1 -:1 D5:1 D5:.5 B4:.5 G4:1 B4:1 G4:2 -:2 "
        "E5:1 E5:.5 D5:.5 C5:1 E5:1 F#5:1 G5:.5 F#5:.5 D5:1 -:1 B4:1 D5:.5 B4:.5 A4:1 B4:1 G4:3 -:1",
        "wa no la te so ma ka lo ne",
    ),
    harmony=True,
    music_tone=_NEAR,
)

PAPER_MANGO = Score(
    name="paper-mango",
    title="Paper Mango",
    rate_hz=44_100,
    tempo_bpm=116.0,
    scale=(0, 2, 4, 6, 7, 9, 11),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=4,
            chords="G C D G",
            lanes={
                "shaker": "x-oox-oox-oox-oo",
                "conga": "o..oX.o.o..oX.oo",
                "twang": "x.ox.o.xx.ox.o.x",
                "bass": "R=.r..f=R=.ro=f.",
                "rim": "x..x..x...x.x...",
            },
            fader_db=1.0,
            music_tone=_NEAR,
        ),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2", organ="..o...o...o...o."),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="dance",
            kind="solo",
            bars=4,
            chords="G C D G",
            lanes={
                **_VERSE.lanes,
                "brass": "x=.x=.x...x=x=..",
                "pluck": "oxoxoxoxoxoxoxox",
                "hat": "..x...x...x...x.",
            },
            music_tone=_NEAR,
        ),
        again(_REFRAIN, "refrain 3", jingle="x.o.x.o.x.o.x.o."),
        Part(
            name="outro",
            kind="outro",
            bars=2,
            chords="D G",
            lanes=_VERSE.lanes,
            fill={
                "kick": "X.....X.........",
                "rim": REST,
                "shaker": REST,
                "conga": "o..oX.X.........",
                "bass": "R=....R=........",
                "twang": WHOLE,
                "pluck": REST,
                "brass": "x.....X=........",
            },
            rings_s=1.0,
            music_tone=_NEAR,
        ),
    ),
    levels_db={
        "kick": -2.0,
        "shaker": 3.0,
        "rim": -1.0,
        "conga": 1.0,
        "twang": 2.0,
        "pluck": 1.0,
        "snare": -3.0,
    },
    guests=PLAYERS
    | {"twang": replace(PLAYERS["twang"], pans=(0.6,)), "conga": replace(PLAYERS["conga"], pans=(-0.25,))},
    peak_dbfs=-2.0,
)
