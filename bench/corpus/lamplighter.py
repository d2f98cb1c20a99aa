"""Lamplighter: 112 to the minute, A dorian. A band without a singer: the guitar has the tune."""

from __future__ import annotations

from arsis.demo.score import Part, Score

from .band import GUESTS
from .parts import BACKBEAT, CRASH, REST, WHOLE, again

_FILL = {"snare": "....X.....x.x.xX", "tom": "........x...x..."}
_FIRST = Part(
    name="first theme 1",
    kind="verse",
    bars=8,
    chords="Am7 D Am7 D Fmaj7 G Am7 Em7",
    lanes={
        "kick": "X.....x...x..... X.....x...x..x..",
        "rim": BACKBEAT,
        "hat": "x-o-x-o-x-o-x-o-",
        "bass": "R=.r..R=..r=f=..",
        "tine": "x=====..x=......",
        "twang": "x=x===x=x=x=x===",
    },
    fill=_FILL,
)
_SECOND = Part(
    name="second theme 1",
    kind="chorus",
    bars=8,
    chords="C G D Am C G D E",
    lanes={
        "kick": "X.....x.X.x.....",
        "snare": "....X..-....X..-",
        "open": "..o...o...o...o.",
        "hat": "x...x...x...x...",
        "shaker": "o-x-o-x-o-x-o-x-",
        "bass": "R=.rR=r=R=.rf=o=",
        "organ": "x=======x=======",
        "guitar": "x==...x=x==.....",
        "tine": "x===..x=x===....",
        "twang": "X=x=x=X=x=x=X=x=",
    }
    | CRASH,
    fill=_FILL,
)

LAMPLIGHTER = Score(
    name="lamplighter",
    title="Lamplighter",
    rate_hz=48_000,
    tempo_bpm=112.0,
    scale=(0, 2, 4, 6, 7, 9, 11),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=4,
            chords="Am7 D Am7 D",
            lanes={
                "tine": "x=====..x=......",
                "hat": "x-o-x-o-x-o-x-o-",
                "bass": "r=......r=..f=..",
                "twang": "o=======o=======",
                "shaker": "o-x-o-x-o-x-o-x-",
            },
        ),
        _FIRST,
        _SECOND,
        again(_FIRST, "first theme 2"),
        Part(
            name="bridge",
            kind="bridge",
            bars=4,
            chords="Fmaj7 Em7 Dm7 E",
            lanes={
                "tine": "x===o===x===o===",
                "pad": WHOLE,
                "bass": "R=======r=======",
                "hat": "..-...-...-...-.",
            },
            fill={"snare": "........-.-.o.xX"},
        ),
        again(_SECOND, "second theme 2"),
        Part(
            name="outro",
            kind="outro",
            bars=4,
            chords="Am7 D Am7 Am",
            lanes=_FIRST.lanes,
            fill={
                "kick": "X...............",
                "rim": REST,
                "hat": REST,
                "bass": "R===============",
                "tine": WHOLE,
                "twang": "x===============",
            },
            rings_s=2.0,
        ),
    ),
    guests=GUESTS,
    peak_dbfs=-2.5,
)
