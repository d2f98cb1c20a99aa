"""Letter Home: 76 to the minute, B flat major. A voice and a piano, strings under the refrains, no drums."""

from __future__ import annotations

from arsis.demo.score import Part, Score

from .band import GUESTS
from .parts import WHOLE, again, sing

_VERSE = sing(
    "-:.5 F4:.5 F4:.5 G4:.5 A4:1 Bb4:.5 A4:.5 F4:3 -:1 -:.5 F4:.5 G4:.5 A4:.5 Bb4:1 A4:.5 G4:.5 D4:3 -:1",
    "na wa le lo ma no se la mo ne wa ta lo",
)
_VERSE_END = sing(
    "-:.5 G4:.5 G4:.5 A4:.5 Bb4:1 C5:.5 Bb4:.5 A4:3 -:1 -:.5 A4:.5 Bb4:.5 C5:.5 D5:1 C5:.5 Bb4:.5 C5:3 -:1",
    "la no wa me so lo na wa le mo te na so",
)
_SOFT = {"grand": "x=======o=======", "bass": "r==============="}
_VERSE_LANES = {"grand": "x===o=o=x===o===", "bass": "r=======..f====="}
_VERSE_CHORDS = "Bb F Gm Dm Eb Bb Cm F"
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=8,
    chords="Gm F Eb F Gm Bb F Bb",
    lanes={
        "grand": "X===x=x=X===x=x=",
        "bass": "R=======R===f===",
        "pad": WHOLE,
        "pluck": "o...-...o...-...",
    },
    melody=sing(
        "D5:1.5 C5:.5 Bb4:2 A4:1 F4:2 -:1 Bb4:1.5 A4:.5 G4:1 Bb4:1 C5:3 -:1 "
        "D5:1.5 C5:.5 Bb4:1 D5:1 F5:2 D5:1 -:1 Eb5:1.5 D5:.5 C5:1 A4:1 Bb4:3 -:1",
        "wa lo ne ma so la wo na me lo ta",
    ),
    harmony=True,
)

LETTER_HOME = Score(
    name="letter-home",
    title="Letter Home",
    rate_hz=44_100,
    tempo_bpm=76.0,
    scale=(0, 2, 3, 5, 7, 9, 10),
    parts=(
        Part(name="intro", kind="intro", bars=2, chords="Bb F", lanes=_SOFT),
        Part(
            name="verse 1",
            kind="verse",
            bars=8,
            chords=_VERSE_CHORDS,
            lanes=_VERSE_LANES,
            melody=f"{_VERSE} {_VERSE_END}",
        ),
        _REFRAIN,
        Part(
            name="verse 2",
            kind="verse",
            bars=4,
            chords="Eb Bb Cm F",
            lanes=_VERSE_LANES,
            melody=_VERSE_END,
        ),
        again(_REFRAIN, "refrain 2", grand="X=x=x=x=X=x=x=x="),
        Part(name="outro", kind="outro", bars=2, chords="Eb Bb", lanes=_SOFT, rings_s=2.5),
    ),
    levels_db={"lead": -2.0, "grand": 0.0, "bass": -3.0, "pad": 1.0},
    guests=GUESTS,
    peak_dbfs=-4.0,
)
