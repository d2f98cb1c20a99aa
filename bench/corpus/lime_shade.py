"""Lime Shade: 80 to the minute, F sharp minor. Chords off the beat, the drop on the third, a walking bass."""

from __future__ import annotations

from dataclasses import replace

from arsis.demo.score import Part, Score

from .band import GUESTS
from .parts import CRASH, WHOLE, again, sing

_VERSE_LINE = sing(
    "-:.5 C#5:.5 C#5:.5 B4:.5 A4:1 F#4:1 -:1 A4:.5 B4:.5 A4:.5 F#4:1 -:.5 "
    "-:.5 D5:.5 D5:.5 C#5:.5 B4:1 A4:1 -:1 B4:.5 C#5:.5 B4:.5 G#4:1 -:.5",
    "wa no me la so ta ne wo ka lo",
)
_REFRAIN = sing(
    "A4:1 C#5:1 E5:1.5 D5:.5 C#5:2 -:2 B4:1 D5:1 F#5:1 E5:1 C#5:3 -:1", "lo la wo ne sa wa ma te no"
)
_REFRAIN_LANES = {
    "kick": "X...x...X...x...",
    "snare": "........X.....-.",
    "rim": "...-.....-...-..",
    "hat": "x.o-x.o-x.o-x.o-",
    "jingle": "..o...o...o...o.",
    "bass": "R=r=R=f=R=r=o=f= R=r=f=r=R=..O=f=",
    "guitar": "..X...x...X...x.",
    "grand": "..o...o...o...o.",
    "organ": "o.x-o.x-o.x-o.x-",
    "pad": "o===============",
}
_FILL = {"snare": "........X..x.xx.", "low_tom": "..............x."}
_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords="F#m A Bm E",
    lanes={
        "kick": "........X.......",
        "rim": "........X....-.. ........X.....-.",
        "hat": "x.o-x.o.x.o-x.o.",
        "bass": "..R=r=..F=r=..f= R=r=..f=R=..o=f=",
        "guitar": "..x...x...x...x.",
        "organ": "-.o--.o--.o--.o-",
    },
    fill=_FILL,
    melody=f"{_VERSE_LINE} {_VERSE_LINE}",
)


def _refrain(name: str, rounds: int) -> Part:
    return Part(
        name=name,
        kind="chorus",
        bars=4 * rounds,
        chords="A F#m D A",
        lanes=_REFRAIN_LANES | CRASH,
        fill=_FILL,
        melody=" ".join(rounds * [_REFRAIN]),
        harmony=True,
    )


LIME_SHADE = Score(
    name="lime-shade",
    title="Lime Shade",
    rate_hz=48_000,
    tempo_bpm=80.0,
    scale=(1, 2, 4, 6, 8, 9, 11),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=2,
            chords="F#m E",
            lanes={**_VERSE.lanes, "snare": "X..x..x.X......."},
        ),
        _VERSE,
        _refrain("refrain 1", 1),
        again(_VERSE, "verse 2", shaker="x-o-x-o-x-o-x-o-", tom="..............o."),
        _refrain("refrain 2", 2),
        Part(
            name="outro",
            kind="outro",
            bars=1,
            chords="F#m",
            lanes={"kick": "X...............", "bass": "R===============", "organ": WHOLE, "guitar": WHOLE},
            rings_s=1.0,
        ),
    ),
    levels_db={"bass": 2.0, "kick": 0.5, "guitar": -1.0, "organ": 1.0, "snare": -1.5, "lead": 0.5},
    guests=GUESTS | {"rim": replace(GUESTS["rim"], level_db=-16.0, room_db=-8.0)},
    peak_dbfs=-2.8,
)
