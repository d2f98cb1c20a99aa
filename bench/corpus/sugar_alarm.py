"""Sugar Alarm: 116 to the minute, A major. Pop: a busy bass, chopped guitar, keys, a rise to each refrain."""

from __future__ import annotations

from arsis.demo.score import Part, Score

from .band import GUESTS
from .parts import BACKBEAT, CRASH, EIGHTHS, OFFBEAT, REST, WHOLE, again, sing

_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords="A F#m D E",
    lanes={
        "kick": "X.....x.X.......",
        "snare": BACKBEAT,
        "hat": EIGHTHS,
        "bass": "R=.rR=.rR=.rf=r.",
        "guitar": OFFBEAT,
        "keys": "x===x===x===x===",
    },
    fill={"snare": "....X.......X.x."},
    melody=sing(
        "-:.5 A4:.5 C#5:.5 C#5:.5 B4:1 A4:1 F#4:1.5 A4:.5 A4:1 -:1 "
        "-:.5 A4:.5 B4:.5 D5:.5 C#5:1 A4:1 B4:3 -:1 "
        "-:.5 A4:.5 C#5:.5 C#5:.5 E5:1 C#5:1 A4:1.5 F#4:.5 A4:1 -:1 "
        "-:.5 D5:.5 C#5:.5 B4:.5 A4:1 F#4:1 G#4:3 -:1",
        "na te lo wa se me ko la ti wo na",
    ),
)
_RISE = Part(
    name="rise 1",
    kind="pre_chorus",
    bars=4,
    chords="Bm D Bm E",
    lanes={
        "kick": "X...x...X...x...",
        "snare": "....x.......x.o.",
        "hat": EIGHTHS,
        "bass": "R=r=R=r=R=r=R=r=",
        "guitar": "x=======x=======",
        "keys": "x=x=x=x=x=x=x=x=",
    },
    fill={"snare": "x...x...x.x.xxXX"},
    melody=sing("B4:1 C#5:1 D5:1.5 B4:.5 A4:3 -:1 B4:1 C#5:1 D5:1.5 F#5:.5 E5:3 -:1", "lo na we ma so"),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="D A E F#m D A E A",
    lanes={
        "kick": "X..x..x.X..x....",
        "snare": BACKBEAT,
        "clap": BACKBEAT,
        "hat": "x.xxx.xxx.xxx.xx",
        "bass": "R=rRR=rRR=rRo=f=",
        "guitar": "x=.x=.x=x=.x=.x=",
        "keys": "X===x=x=x===x=x=",
        "pluck": "x..x..x.x..x..x.",
    }
    | CRASH,
    fill={"snare": "....X...x.x.XxXx"},
    melody=sing(
        "F#5:1 E5:.5 D5:.5 F#5:1 E5:1 C#5:2 -:1 E5:1 B4:1 B4:.5 C#5:.5 D5:1 E5:1 C#5:3 -:1 "
        "F#5:1 E5:.5 D5:.5 F#5:1 A5:1 E5:2 -:1 C#5:1 B4:1 B4:.5 C#5:.5 D5:1 B4:1 A4:3 -:1",
        "wa lo na so la te wo me ta no",
    ),
    harmony=True,
)

SUGAR_ALARM = Score(
    name="sugar-alarm",
    title="Sugar Alarm",
    rate_hz=44_100,
    tempo_bpm=116.0,
    scale=(1, 2, 4, 6, 8, 9, 11),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=4,
            chords="D A E F#m",
            lanes={
                "kick": "X.......X.......",
                "hat": EIGHTHS,
                "bass": "R=======R=======",
                "guitar": OFFBEAT,
                "pluck": "x..x..x.x..x..x.",
            },
        ),
        _VERSE,
        _RISE,
        _REFRAIN,
        again(_VERSE, "verse 2", shaker="x-o-x-o-x-o-x-o-"),
        again(_RISE, "rise 2"),
        again(_REFRAIN, "refrain 2", jingle=OFFBEAT),
        Part(
            name="bridge",
            kind="bridge",
            bars=4,
            chords="Bm F#m D E",
            lanes={
                "kick": "X.......X.......",
                "clap": BACKBEAT,
                "bass": "R=======R=====f=",
                "keys": WHOLE,
                "pad": WHOLE,
            },
            melody=sing("F#5:2 D5:1 B4:1 C#5:3 -:1 D5:2 E5:1 F#5:1 E5:3 -:1", "no la wo me"),
        ),
        again(_REFRAIN, "refrain 3", jingle=OFFBEAT),
        Part(
            name="outro",
            kind="outro",
            bars=2,
            chords="D A",
            lanes=_VERSE.lanes,
            fill={
                "kick": "X...............",
                "snare": REST,
                "hat": REST,
                "bass": "R===============",
                "guitar": WHOLE,
                "keys": WHOLE,
            },
            rings_s=2.0,
        ),
    ),
    levels_db={"kick": -1.0, "keys": 1.0, "clap": -2.0, "lead": 0.5},
    guests=GUESTS,
    peak_dbfs=-1.5,
)
