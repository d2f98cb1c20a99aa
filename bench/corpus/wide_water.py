"""Wide Water: 78 to the minute, F sharp minor. Quiet and wide: pads, a few plucked notes, a soft voice."""

from __future__ import annotations

from arsis.demo.score import Part, Score

from .band import GUESTS
from .parts import WHOLE, sing

_VERSE = sing(
    "-:2 C#4:1 E4:1 F#4:3 -:1 -:2 A4:1 G#4:1 E4:3 -:1 -:2 F#4:1 A4:1 B4:3 -:1 -:2 A4:1 G#4:1 F#4:3 -:1",
    "lo na wa mo le no so ma",
)
_REFRAIN = sing(
    "C#5:3 B4:1 A4:3 -:1 B4:3 A4:1 G#4:3 -:1 C#5:2 E5:2 C#5:3 -:1 B4:2 A4:1 G#4:1 F#4:3 -:1",
    "wa lo ma no la so we mo",
)
_STILL = {"haze": WHOLE, "pad": "o==============="}
_VERSE_LANES = _STILL | {"tine": "x=======..o=====", "bass": "r==============="}
_REFRAIN_LANES = {
    "haze": "X===============",
    "pad": WHOLE,
    "pluck": "o..o..o...o..o..",
    "tine": "x===o===x===o===",
    "bass": "R=======R=======",
}

WIDE_WATER = Score(
    name="wide-water",
    title="Wide Water",
    rate_hz=48_000,
    tempo_bpm=78.0,
    scale=(1, 2, 4, 6, 8, 9, 11),
    parts=(
        Part(name="intro", kind="intro", bars=4, chords="F#m D A E", lanes=_STILL),
        Part(
            name="verse",
            kind="verse",
            bars=8,
            chords="F#m D A E F#m Bm D F#m",
            lanes=_VERSE_LANES,
            melody=_VERSE,
        ),
        Part(
            name="interlude",
            kind="interlude",
            bars=4,
            chords="F#m D A E",
            lanes=_STILL | {"pluck": "o..o..o...o..o..", "bass": "r==============="},
        ),
        Part(
            name="refrain",
            kind="chorus",
            bars=8,
            chords="D A E F#m D A E F#m",
            lanes=_REFRAIN_LANES,
            melody=_REFRAIN,
            harmony=True,
        ),
        Part(
            name="outro",
            kind="outro",
            bars=4,
            chords="D A F#m F#m",
            lanes=_STILL | {"tine": "x=======..o=====", "bass": "r==============="},
            fill={"tine": "x==============="},
            rings_s=2.5,
        ),
    ),
    levels_db={"bass": -1.0, "haze": -1.0},
    guests=GUESTS,
    peak_dbfs=-6.0,
)
