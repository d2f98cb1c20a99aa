"""Window Seat: 84 to the minute, F major. A piano ballad; bass, strings and drums come with the refrains."""

from __future__ import annotations

from arsis.demo.score import Part, Score

from .band import GUESTS
from .parts import CRASH, WHOLE, again, sing

_VERSE = sing(
    "-:1 A4:.5 Bb4:.5 C5:1 A4:1 G4:1.5 F4:.5 F4:1 -:1 -:1 D4:.5 F4:.5 A4:1 G4:1 E4:3 -:1",
    "ma lo na we so la no te wa",
)
_VERSE_END = sing(
    "-:1 Bb4:.5 C5:.5 D5:1 Bb4:1 A4:1.5 F4:.5 C5:1 -:1 -:1 Bb4:.5 A4:.5 G4:1 Bb4:1 C5:3 -:1",
    "la wo ne ta lo me no sa wa",
)
_VERSE_LANES = {"grand": "X=====o=x===o=o= x=====o=x===x==="}
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="Dm F Bb C Dm C Bb F",
    lanes={
        "grand": "X===x===X===x=x=",
        "kick": "X.......x.x.....",
        "snare": "....x.......x...",
        "hat": "o...o...o...o.-.",
        "bass": "R=====r=R=====f=",
        "pad": WHOLE,
    }
    | CRASH,
    fill={"snare": "....x.....o.x.xx", "low_tom": "........x......."},
    melody=sing(
        "F5:2 E5:1 D5:1 C5:2 A4:1 -:1 D5:2 C5:1 Bb4:1 C5:3 -:1 "
        "F5:2 G5:1 F5:1 E5:2 D5:1 -:1 D5:1 C5:1 Bb4:1 G4:1 F4:3 -:1",
        "wo la ne wa so lo ma na te wa lo",
    ),
    harmony=True,
)

WINDOW_SEAT = Score(
    name="window-seat",
    title="Window Seat",
    rate_hz=48_000,
    tempo_bpm=84.0,
    scale=(0, 2, 4, 5, 7, 9, 10),
    parts=(
        Part(name="intro", kind="intro", bars=2, chords="F Bb", lanes=_VERSE_LANES),
        Part(
            name="verse 1",
            kind="verse",
            bars=8,
            chords="F C Dm C Bb F Gm C",
            lanes=_VERSE_LANES,
            melody=f"{_VERSE} {_VERSE_END}",
        ),
        _REFRAIN,
        Part(
            name="verse 2",
            kind="verse",
            bars=4,
            chords="Bb F Gm C",
            lanes=_VERSE_LANES | {"bass": "r===============", "pad": "-==============="},
            melody=_VERSE_END,
        ),
        again(_REFRAIN, "refrain 2", organ="o===============", jingle="....o.......o..."),
        Part(
            name="outro",
            kind="outro",
            bars=2,
            chords="Bb F",
            lanes={"grand": "x=====o=o======="},
            fill={"grand": WHOLE},
            rings_s=2.5,
        ),
    ),
    levels_db={"kick": -3.0, "snare": -3.5, "grand": 1.5, "lead": -0.5, "bass": -1.0, "pad": 1.0},
    guests=GUESTS,
    peak_dbfs=-3.0,
)
