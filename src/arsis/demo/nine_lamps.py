"""Nine Lamps: 96 to the minute, D major. The song that needs nothing."""

from __future__ import annotations

from .score import Part, Score

_VERSE_1 = "F#4:1:na F#4:.5:ne G4:.5:la A4:2:mo E4:1:sa D4:.5:te E4:.5:lo C#4:1:wa -:1 "
_VERSE_2 = "D4:1:ka D4:.5:me E4:.5:no F#4:2:la D4:1:so B3:2:ta -:1 "
_VERSE_3 = "F#4:1:na F#4:.5:ne G4:.5:la A4:1.5:mo B4:.5:se A4:1:ta E4:2:lo -:1 "
_VERSE_4 = "D5:1.5:wa C#5:.5:ne B4:1:la A4:1:so B4:2:mo -:2 "
_REFRAIN = (
    "B4:1:la B4:.5:lo A4:.5:no B4:1:te D5:1:wa A4:3:mo -:1 "
    "E4:1:la A4:1:lo C#5:1.5:ne B4:.5:sa B4:3:mo -:1 "
    "B4:1:la B4:.5:lo A4:.5:no B4:1:te D5:1:wa F#5:2:mo E5:1:ta D5:1:ne "
    "C#5:1.5:sa B4:.5:lo A4:1:ne E4:1:ka A4:3:wa -:1"
)
_BRIDGE = "G4:2:no F#4:1:la E4:1:me B4:3:so -:1 B4:2:no A4:1:la F#4:1:me E4:3:so -:1"

_VERSE_LANES = {
    "kick": "X.......x.x..... X.......x.....x.",
    "snare": "....X.......X... ....X.......X.-.",
    "hat": "x...o...x...o...",
    "shaker": "o-x-o-x-o-x-o-x-",
    "bass": "R=====r.F===r=== R=====r.R===o===",
    "keys": "x=======o=====o=",
    "guitar": "o===..o=o===..o=",
    "pluck": "o...o.....o.....",
}
_REFRAIN_LANES = {
    "kick": "X.....x.X....... X.....x.X..x....",
    "snare": "....X.......X...",
    "open": "o.......o.......",
    "hat": "x.o.x.o.x.o.x.o.",
    "shaker": "x-x-x-x-x-x-x-x-",
    "bass": "R===r=R=R===f=o=",
    "keys": "X=======x=======",
    "guitar": "X=====x=x===x===",
    "pad": "x===============",
}
_QUIET_LANES = {"keys": "x=======o=======", "pad": "o===============", "shaker": "-.-.-.-.-.-.-.-."}
_FILL = {"snare": "....X.......x.xx", "tom": "..........x.....", "low_tom": "..............x."}
_CRASH = {"crash": "x............... ................ ................ ................"}
_VERSE_CHORDS = "D A Bm G"
_REFRAIN_CHORDS = "G D A Bm G D A A"

NINE_LAMPS = Score(
    name="nine-lamps",
    title="Nine Lamps",
    rate_hz=44_100,
    tempo_bpm=96.0,
    scale=(1, 2, 4, 6, 7, 9, 11),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=2,
            chords="D G",
            lanes=_QUIET_LANES | {"pluck": "x...o...x...o..."},
        ),
        Part(
            name="verse 1",
            kind="verse",
            bars=8,
            chords=_VERSE_CHORDS,
            lanes=_VERSE_LANES,
            fill=_FILL,
            melody=_VERSE_1 + _VERSE_2 + _VERSE_3 + _VERSE_4,
        ),
        Part(
            name="refrain 1",
            kind="chorus",
            bars=8,
            chords=_REFRAIN_CHORDS,
            lanes=_REFRAIN_LANES | _CRASH,
            fill=_FILL,
            melody=_REFRAIN,
            harmony=True,
        ),
        Part(
            name="verse 2",
            kind="verse",
            bars=8,
            chords=_VERSE_CHORDS,
            lanes=_VERSE_LANES,
            fill=_FILL,
            melody=_VERSE_1 + _VERSE_2 + _VERSE_3 + _VERSE_4,
        ),
        Part(name="bridge", kind="bridge", bars=4, chords="Em G Bm A", lanes=_QUIET_LANES, melody=_BRIDGE),
        Part(
            name="build",
            kind="build",
            bars=4,
            chords="G G A A",
            lanes=_QUIET_LANES
            | {
                "kick": "X...x...X...x...",
                "snare": "................ ............-... ....-.......-... -...-...o.o.xxxX",
                "bass": "R=r=R=r=R=r=R=r=",
                "riser": "................ ................ X=============== ................",
            },
            melody="-:8 E4:1:lo A4:1:na B4:1:se C#5:1:te E5:3:wa -:1",
            grows_db=2.0,
        ),
        Part(
            name="refrain 2",
            kind="chorus",
            bars=8,
            chords=_REFRAIN_CHORDS,
            lanes=_REFRAIN_LANES | _CRASH | {"pluck": "x.o.x.o.x.o.x.o."},
            fill=_FILL,
            melody=_REFRAIN,
            harmony=True,
        ),
        Part(
            name="outro",
            kind="outro",
            bars=4,
            chords="G D A D",
            lanes=_QUIET_LANES | {"pluck": "x...o...x...o..."},
            fill={
                "keys": "x===============",
                "bass": "R===============",
                "shaker": "................",
                "pluck": "x...............",
            },
            melody="B4:1.5:la A4:.5:lo F#4:4:mo -:10",
            rings_s=2.5,
        ),
    ),
)
