"""Corner Shop: 88 to the minute, D minor. One loop; the verses are drums, a low bass and a speaking voice."""

from __future__ import annotations

from arsis.demo.score import Part, Score

from .band import GUESTS
from .parts import REST, again, sing

_SPOKEN = sing(
    "-:.5 D4:.5 D4:.25 D4:.25 F4:.5 D4:.5 D4:.25 C4:.25 D4:.5 -:.5 "
    "D4:.25 D4:.25 D4:.5 F4:.25 D4:.25 C4:.5 D4:1 -:1 "
    "-:.5 F4:.5 F4:.25 F4:.25 G4:.5 F4:.5 D4:.25 D4:.25 C4:.5 -:.5 "
    "D4:.5 D4:.25 F4:.25 D4:.5 C4:.5 D4:1.5 -:.5",
    "ta ka se to na pa lo ti ka so te ma no ka pi ta wa",
)
_REFRAIN = sing(
    "A4:1.5 G4:.5 F4:1 A4:1 D5:2 C5:1 -:1 Bb4:1.5 A4:.5 G4:1 F4:1 A4:3 -:1", "la no so wa me lo ta na"
)
_CHORDS = "Dm7 Bbmaj7 Gm7 Am7"
_BEAT = {
    "boom": "X..x....x.x..... X..x......x..x..",
    "crack": "....X.......X...",
    "hat": "x.o.x.o.x.o.x.oo x.o.x.o.x-o.x.o.",
}
_REFRAIN_LANES = _BEAT | {
    "sub": "R==r====..r=..f= R==r======o=..f=",
    "clap": "....x.......x...",
    "shaker": "x-o-x-o-x-o-x-o-",
    "tine": "x=====o=..o=x===",
    "pad": "o===============",
    "pluck": "o..o..o...o..o..",
}
_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords=_CHORDS,
    lanes=_BEAT
    | {
        "sub": "R==r====..r=.... R==r======o=..f=",
        "tine": f"x=======........ {REST}",
        "rim": ".......-......-.",
    },
    fill={"crack": "....X.......X.-x"},
    melody=f"{_SPOKEN} {_SPOKEN}",
)

CORNER_SHOP = Score(
    name="corner-shop",
    title="Corner Shop",
    rate_hz=44_100,
    tempo_bpm=88.0,
    scale=(0, 2, 4, 5, 7, 9, 10),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=2,
            chords="Dm7 Bbmaj7",
            lanes={"tine": "x=====o=..o=x===", "hat": "x.o.x.o.x.o.x.oo", "pad": "-==============="},
        ),
        _VERSE,
        Part(
            name="refrain 1",
            kind="chorus",
            bars=4,
            chords=_CHORDS,
            lanes=_REFRAIN_LANES,
            melody=_REFRAIN,
            harmony=True,
        ),
        again(_VERSE, "verse 2", pluck=f"....o..o........ {REST}"),
        Part(
            name="refrain 2",
            kind="chorus",
            bars=8,
            chords=_CHORDS,
            lanes=_REFRAIN_LANES,
            melody=f"{_REFRAIN} {_REFRAIN}",
            harmony=True,
        ),
        Part(
            name="outro",
            kind="outro",
            bars=2,
            chords="Bbmaj7 Dm7",
            lanes={"tine": "x=====o=..o=x===", "sub": "R===============", "pad": "o==============="},
            fill={"tine": "x==============="},
            rings_s=2.5,
        ),
    ),
    levels_db={"boom": -1.0, "sub": -1.5, "lead": 1.0, "tine": 1.0},
    guests=GUESTS,
    peak_dbfs=-1.5,
)
