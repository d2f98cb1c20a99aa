"""Velvet Receipt: 82 to the minute, E minor. A slow loop of keys and guitar, a heavy snare, a close voice."""

from __future__ import annotations

from dataclasses import replace

from arsis.demo.score import Part, Score
from arsis.demo.tone import Hump

from .horns import PLAYERS
from .parts import REST, WHOLE, again, sing

_OLD = (Hump(6_000.0, -4.0, 2.5), Hump(900.0, 1.5, 1.5))  # the loop comes from an old record
_LOOP = {"tine": "x==.o=..x===..o=", "twang": f"{REST} {REST} {REST} o=..o=..x=......"}

_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords="Em7 Em7 Cmaj7 B7",
    lanes=_LOOP
    | {
        "boom": "X......xo.x..... X......x..x..o..",
        "slab": "....X.......X..-",
        "hat": "x.o-x.ox.oo-x.o.",
        "sub": "R=====..r=r=.... R=====....r=f=..",
    },
    melody=sing(
        "-:1 E4:.5 G4:.5 B4:1 A4:.5 G4:.5 E4:2 -:2 -:1 G4:.5 A4:.5 B4:1 G4:1 F#4:2 -:2 "
        "-:1 E4:.5 G4:.5 B4:.5 D5:.5 B4:1 A4:1 G4:1 -:2 -:1 G4:.5 E4:.5 G4:1 A4:1 B4:2 -:2",
        "lo se na wa ma no la",
    ),
    music_tone=_OLD,
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="Am7 Em7 Cmaj7 B7",
    lanes={
        "boom": "X......xX.x..... X......xX.x..o.x",
        "slab": "....X.......X..-",
        "hat": "x-o-x-oxxoo-x-o-",
        "jingle": "....o.......o...",
        "sub": "R=====r=R=r=.... R=====r=R=r=f=..",
        "tine": "x==.o=..x===..o=",
        "grand": "o=======-=======",
        "pad": WHOLE,
        "guitar": "......o.......o.",
    },
    fill={"slab": "....X.......X.xX"},
    melody=sing(
        "E5:2 D5:1 C5:1 B4:3 -:1 G4:1 B4:1 E5:1 D5:1 D#5:2 B4:1 -:1 "
        "E5:2 D5:1 C5:1 B4:2 G4:1 -:1 G4:1 B4:1 E5:1 G5:1 F#5:3 -:1",
        "wa lo ne na so la mo",
    ),
    harmony=True,
    music_tone=_OLD,
)

VELVET_RECEIPT = Score(
    name="velvet-receipt",
    title="Velvet Receipt",
    rate_hz=44_100,
    tempo_bpm=82.0,
    scale=(0, 2, 4, 6, 7, 9, 11),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=4,
            chords="Em7 Em7 Cmaj7 B7",
            lanes=_LOOP | {"hat": "x.o-x.ox.oo-x.o."},
            fader_db=3.5,
            music_tone=_OLD,
        ),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2", rim="..-.....-....-..", haze="-==============="),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="outro",
            kind="outro",
            bars=2,
            chords="Cmaj7 Em7",
            lanes=_VERSE.lanes,
            fill={"boom": REST, "slab": REST, "hat": REST, "sub": "R===============", "tine": WHOLE},
            rings_s=2.0,
            music_tone=_OLD,
        ),
    ),
    levels_db={"boom": -0.5, "slab": -1.0, "sub": -1.0, "tine": 2.5, "pad": 2.0, "hat": 1.0, "lead": 0.5},
    guests=PLAYERS | {"slab": replace(PLAYERS["slab"], room_db=-16.0)},
    peak_dbfs=-2.6,
)
