"""Low Water: 126 to the minute, A minor. The song that needs work."""

from __future__ import annotations

from .score import Part, Score, Weakness
from .tone import Hump

_THIN = (Hump(240.0, -4.5, 1.6),)
_EDGE = (Hump(3_200.0, 5.0, 1.0),)

_VERSE_1 = "-:1 E4:.5:sa E4:.5:lo G4:1:wa A4:1.5:ta G4:.5:no E4:2:me -:1 "
_VERSE_2 = "-:1 E4:.5:ka E4:.5:li F4:1:so A4:1.5:na G4:.5:te C4:2:lo -:1 "
_VERSE_3 = "-:.5 E4:.5:to G4:1:sa G4:.5:le A4:.5:mi B4:1:no C5:2:wa A4:1:ta -:1 "
_VERSE_4 = "-:.5 B4:.5:na A4:.5:so G4:.5:te A4:1:ka G4:1:lo E4:2.5:me -:1.5 "
_VERSE_5 = "-:1 D4:.5:sa F4:.5:lo A4:1:wa A4:1.5:ta G4:.5:no F4:2:me -:1 "
_VERSE_6 = "-:.5 E4:.5:ka G4:.5:so A4:.5:te B4:1.5:na A4:.5:lo B4:3:wa -:1 "
_REFRAIN_1 = "C5:1.5:la A4:.5:wo G4:1:ta A4:1:se C5:2:no E5:1.5:wa D5:.5:ta "
_REFRAIN_2 = "D5:1.5:la B4:.5:wo A4:1:ta B4:1:se C5:2.5:na A4:1:me -:.5 "
_REFRAIN_3 = "C5:1.5:la A4:.5:wo G4:1:ta A4:1:se C5:1:no D5:1:ke E5:1.5:wa G5:.5:ta "
_REFRAIN_4 = "F5:1:so E5:1:lo D5:1:na C5:1:te D5:3:wa -:1 "
_BRIDGE = (
    "A4:2:mo F4:1:na E4:1:le E4:3:so -:1 F4:2:mo D4:1:na C4:1:le C4:3:so -:1 "
    "D4:1:ta F4:1:no A4:1:wa D5:1:le C5:3:so -:1 B4:2:na A4:2:wa G#4:3:lo -:1"
)

_VERSE_LANES = {
    "kick": "X.....x.x....... X.....x.x..x....",
    "snare": "....X.......X... ....X..-....X..-",
    "hat": "x.o.x.o.x.o.x.o. x.o.x.o.x.o.x-o.",
    "bass": "R==.r.R=R==.r.f. R==.r.R=R==.f.o.",
    "guitar": "X==.x.o=x==.o.o. X==.x.o=x==.x.x.",
    "keys": "x======.o=======",
}
_REFRAIN_LANES = {
    "kick": "X.....X.X..x.... X.....X.X..x..x.",
    "snare": "....X.......X...",
    "open": "x...x...x...x...",
    "hat": "..o...o...o...o.",
    "shaker": "o-x-o-x-o-x-o-x-",
    "bass": "R=R=R=R=R=R=F=O= R=R=R=R=R=R=R=O=",
    "guitar": "X=======X===X===",
    "keys": "x===x===x===x===",
    "pad": "x===============",
}
_FILL = {"snare": "....X.....x.x.xX", "tom": "............X...", "low_tom": "..............X."}
_CRASH = {"crash": "X............... ................ ................ ................"}
_SOFT_LANES = {
    "keys": "x===o===x===o===",
    "pad": "o===============",
    "hat": "..-...-...-...-.",
    "bass": "R===============",
}
_REFRAIN_CHORDS = "F C G Am F C Dm7 G"


def _refrain(name: str, bars: int, melody: str, fader_db: float) -> Part:
    return Part(
        name=name,
        kind="chorus",
        bars=bars,
        chords=_REFRAIN_CHORDS,
        lanes=_REFRAIN_LANES | _CRASH,
        fill=_FILL,
        melody=melody,
        harmony=True,
        fader_db=fader_db,
        music_tone=_THIN,
    )


_REFRAIN = _REFRAIN_1 + _REFRAIN_2 + _REFRAIN_3 + _REFRAIN_4

LOW_WATER = Score(
    name="low-water",
    title="Low Water",
    rate_hz=48_000,
    tempo_bpm=126.0,
    scale=(0, 2, 4, 5, 7, 9, 11),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=4,
            chords="Am7 Fmaj7 C Em7",
            lanes=_SOFT_LANES | {"pluck": "x.o.x.o.x.o.x.o."},
            fill={"tom": "........o...x...", "low_tom": "..........o...X."},
            fader_db=-4.0,
        ),
        Part(
            name="verse 1",
            kind="verse",
            bars=16,
            chords="Am7 Am7 Fmaj7 Fmaj7 C C Em7 Em7 Am7 Am7 Fmaj7 Fmaj7 Dm7 Dm7 Em7 Em7",
            lanes=_VERSE_LANES,
            fill=_FILL,
            melody=_VERSE_1 + _VERSE_2 + _VERSE_3 + _VERSE_4 + _VERSE_1 + _VERSE_2 + _VERSE_5 + _VERSE_6,
            music_tone=_EDGE,
            voice_tone=_EDGE,
        ),
        _refrain("refrain 1", 8, _REFRAIN, -1.85),
        Part(
            name="verse 2",
            kind="verse",
            bars=8,
            chords="Am7 Am7 Fmaj7 Fmaj7 Dm7 Dm7 Em7 Em7",
            lanes=_VERSE_LANES | {"shaker": "o-x-o-x-o-x-o-x-"},
            fill=_FILL,
            melody=_VERSE_1 + _VERSE_2 + _VERSE_5 + _VERSE_6,
            music_tone=_EDGE,
            voice_tone=_EDGE,
        ),
        _refrain("refrain 2", 8, _REFRAIN, -1.85),
        Part(
            name="bridge",
            kind="bridge",
            bars=8,
            chords="Dm7 Am Bb F Dm7 Am Esus E",
            lanes=_SOFT_LANES,
            melody=_BRIDGE,
            fader_db=-3.5,
        ),
        Part(
            name="build",
            kind="build",
            bars=4,
            chords="F F G G",
            lanes={
                "kick": "X...X...X...X... X...X...X...X... X...X...X...X... X...X...X.......",
                "snare": "........-...-... ....-...-...-... -.-.-.-.-.-.-.-. o-o-o-o-xoxoxxxX",
                "bass": "r=r=r=r=r=r=r=r= r=r=r=r=r=r=r=r= r=r=r=r=r=r=r=r= r=r=r=r=r=......",
                "keys": "x===x===x===x===",
                "pad": "x===============",
                "riser": "................ ................ X=============== ................",
            },
            melody="-:8 A4:1:lo B4:1:wo C5:1:ta D5:1:se D5:3:wa -:1",
            fader_db=-4.5,
            grows_db=2.5,
        ),
        _refrain("refrain 3", 12, _REFRAIN + _REFRAIN_1 + _REFRAIN_2, -1.85),
        Part(
            name="outro",
            kind="outro",
            bars=4,
            chords="Am F C Am",
            lanes=_SOFT_LANES | {"pluck": "x.o.x.o.x.o.x.o."} | _CRASH,
            fill=dict.fromkeys(("keys", "pad"), "o===============")
            | {"hat": "................", "pluck": "x..............."},
            melody="C5:1.5:la A4:.5:wo A4:4:ta -:10",
            fader_db=-2.0,
            rings_s=2.0,
        ),
    ),
    weaknesses=(
        Weakness(
            "refrains that do not grow",
            ("refrain 1", "refrain 2", "refrain 3"),
            0.3,
            "LU",
            "step out of the verse",
        ),
        Weakness(
            "thin low mid",
            ("refrain 1", "refrain 2", "refrain 3"),
            -4.5,
            "dB",
            "a dip at 240 Hz in all but drums and voice",
        ),
        Weakness("edge", ("verse 1", "verse 2"), 5.0, "dB", "a rise at 3.2 kHz in all but the drums"),
    ),
)
