"""Blue Veranda: 128 to the minute, F major. Bossa: a fingered guitar, a stick on the rim, far horns."""

from __future__ import annotations

from dataclasses import replace

from arsis.demo.score import Part, Score
from arsis.demo.tone import Hump

from .horns import PLAYERS
from .parts import REST, WHOLE, again, sing

_CLAVE = "x.....x.....x... ....x.....x....."
_AIR = (Hump(5_000.0, 5.0, 3.0),)
_HEART = "x.....o.x.....o."

_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords="Fmaj7 Fmaj7 Gm7 C7 Am7 Dm7 Gm7 C7",
    lanes={
        "boom": _HEART,
        "rim": _CLAVE,
        "shaker": "x-o-x-o-x-o-x-o-",
        "bass": "r=====f=r=====f=",
        "finger": "x.oox.o.o.oox.o.",
        "tine": "..o==...o==..... o==...o==...o==.",
    },
    melody=sing(
        "-:1 C5:1.5 A4:.5 C5:1 E5:2 D5:1 C5:1 Bb4:1.5 A4:.5 G4:1 Bb4:1 D5:2 C5:1 -:1 "
        "-:1 C5:1.5 G4:.5 C5:1 D5:2 A4:1 F4:1 G4:1.5 Bb4:.5 D5:1 F5:1 E5:3 -:1",
        "lu na wa lo me so la no",
    ),
    music_tone=_AIR,
    voice_tone=_AIR,
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="Bbmaj7 Bbmaj7 Am7 D7 Gm7 C7 Fmaj7 Fmaj7",
    lanes={
        "boom": "x.....o.x.....oo",
        "rim": _CLAVE,
        "shaker": "x-oox-o-x-oox-o-",
        "conga": "..-...oo..-...ox",
        "ride": "-.o.-.o.-.o.-.o.",
        "bass": "R=====f=R===r=f=",
        "finger": "x.oox.oox.oox.oo",
        "tine": "..o==...o==...-. o==...o==...o==.",
        "pad": WHOLE,
        "brass": f"{REST} ........-======= {REST} {REST}",
    },
    melody=sing(
        "D5:2 F5:1 A5:1 G5:1.5 F5:.5 D5:1 -:1 C5:2 E5:1 G5:1 F#5:1.5 E5:.5 D5:1 -:1 "
        "Bb4:2 D5:1 F5:1 E5:1.5 D5:.5 Bb4:1 -:1 A4:2 C5:1 D5:1 C5:3 -:1",
        "wa lo ne mu la so na we",
    ),
    harmony=True,
    music_tone=_AIR,
    voice_tone=_AIR,
)

BLUE_VERANDA = Score(
    name="blue-veranda",
    title="Blue Veranda",
    rate_hz=48_000,
    tempo_bpm=128.0,
    scale=(0, 2, 4, 5, 7, 9, 10),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=4,
            chords="Fmaj7 Dm7 Gm7 C7",
            lanes={"finger": "x.oox.o.o.oox.o.", "shaker": "x-o-x-o-x-o-x-o-", "bass": "r=====f=r=====f="},
            fader_db=2.5,
            music_tone=_AIR,
        ),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2", pluck="....o.....-....."),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="interlude",
            kind="interlude",
            bars=8,
            chords="Fmaj7 Dm7 Gm7 C7 Am7 Dm7 Gm7 C7",
            lanes={**_VERSE.lanes, "twang": "x=..o=..x=o=..o=", "conga": "..-...oo..-...ox"},
            music_tone=_AIR,
        ),
        again(_REFRAIN, "refrain 3"),
        Part(
            name="outro",
            kind="outro",
            bars=4,
            chords="Gm7 C7 Fmaj7 Fmaj7",
            lanes=_VERSE.lanes,
            fill={
                "boom": "x...............",
                "rim": REST,
                "shaker": REST,
                "bass": "r===============",
                "finger": "x.o.o.o.x.......",
                "tine": "o===============",
            },
            rings_s=2.0,
            music_tone=_AIR,
        ),
    ),
    levels_db={"boom": -4.0, "rim": -2.0, "shaker": 6.0, "finger": 2.5, "bass": 0.5, "pad": 2.0, "tine": 0.5},
    guests=PLAYERS | {"finger": replace(PLAYERS["finger"], pans=(0.35,), room_db=-10.0)},
    peak_dbfs=-4.0,
)
