"""Two Rooms: 92 to the minute, E major. Verse and bridge in turn; it has no refrain."""

from __future__ import annotations

from arsis.demo.score import Part, Score

from .band import GUESTS
from .parts import BACKBEAT, REST, WHOLE, again, sing

_BRIDGE = sing("C#5:2 B4:1 A4:1 G#4:3 -:1 A4:2 G#4:1 F#4:1 E4:2 F#4:1 -:1", "no wa le mo so la")
_BRIDGE_LANES = {
    "kick": "X...x...X...x...",
    "snare": "....x.......x..-",
    "open": "o.......o.......",
    "bass": "R=r=R=r=R=r=f=o=",
    "organ": WHOLE,
    "guitar": "x=====o=x=====o=",
    "strum": "x.o.x.o.x.o.x.o.",
}
_CHORDS = "E B C#m A E G#m A E"
_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords=_CHORDS,
    lanes={
        "kick": "X.......x.x..... X.....x.x.......",
        "rim": BACKBEAT,
        "hat": "x.o.x.o.x.o.x.o.",
        "bass": "R=====r.R=...rf=",
        "strum": "x...o-x-..o-x-o-",
        "keys": "o=======o=======",
    },
    melody=sing(
        "-:1 G#4:.5 B4:.5 C#5:1 B4:1 G#4:2 F#4:1 -:1 -:1 E4:.5 F#4:.5 G#4:1 B4:1 F#4:3 -:1 "
        "-:1 G#4:.5 B4:.5 C#5:1 E5:1 B4:2 G#4:1 -:1 -:1 A4:.5 G#4:.5 F#4:1 D#4:1 E4:3 -:1",
        "na lo wa te ma le so no wa ka me la",
    ),
)


def _bridge(name: str, bars: int) -> Part:
    return Part(
        name=name,
        kind="bridge",
        bars=bars,
        chords="A B C#m C#m F#m A B B",
        lanes=_BRIDGE_LANES,
        fill={"snare": "....x.....o.x.xx"},
        melody=" ".join([_BRIDGE] * (bars // 4)),
        harmony=bars > 4,
    )


TWO_ROOMS = Score(
    name="two-rooms",
    title="Two Rooms",
    rate_hz=48_000,
    tempo_bpm=92.0,
    scale=(1, 3, 4, 6, 8, 9, 11),
    parts=(
        _VERSE,
        _bridge("bridge 1", 4),
        again(_VERSE, "verse 2", shaker="o-x-o-x-o-x-o-x-"),
        _bridge("bridge 2", 8),
        Part(
            name="verse 3",
            kind="verse",
            bars=8,
            chords=_CHORDS,
            lanes={**_VERSE.lanes, "shaker": "o-x-o-x-o-x-o-x-", "pluck": "o.....o...o....."},
            fill={
                "kick": "X...............",
                "rim": REST,
                "hat": REST,
                "shaker": REST,
                "bass": "R===============",
                "strum": "x===============",
            },
            melody=_VERSE.melody,
            rings_s=2.0,
        ),
    ),
    levels_db={"hat": 2.0, "shaker": 2.0},
    guests=GUESTS,
    peak_dbfs=-3.0,
)
