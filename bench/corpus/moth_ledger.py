"""Moth Ledger: 88 to the minute, C minor. No drums: fingered strings, a bowed bass, vibes."""

from __future__ import annotations

from arsis.demo.score import Part, Score

from .parts import WHOLE, again, sing
from .stage import STAGE

_FINGER = "x.o.x.o.x.o.x.oo"
_VERSE = Part(
    name="verse 1",
    kind="verse",
    bars=8,
    chords="Cm Ab Eb Bb Cm Ab Fm Gm",
    lanes={
        "finger": _FINGER,
        "arco": "r=======r=======",
        "keys": "o=======o=======",
    },
    melody=sing(
        "G4:1 Eb4:.5 G4:.5 G4:1.5 F4:.5 Eb4:2 C4:1 -:1 G4:1 Bb4:.5 G4:.5 Eb4:1.5 F4:.5 F4:3 -:1 "
        "G4:1 C5:.5 Bb4:.5 G4:1.5 Eb4:.5 Ab4:2 G4:1 -:1 Ab4:1 C5:1 Bb4:.5 Ab4:.5 F4:1 G4:3 -:1",
        "lo na se wa me no la so we",
    ),
)
_REFRAIN = Part(
    name="refrain 1",
    kind="chorus",
    bars=4,
    chords="Ab Eb Bb Cm",
    lanes={
        "finger": _FINGER,
        "strum": "x...o.o.x...o.o.",
        "arco": "R=====f=R=====f=",
        "keys": "x=======o=======",
        "vibes": "o=======o===o===",
        "pad": WHOLE,
    },
    melody=sing(
        "C5:1.5 Eb5:.5 C5:1 Ab4:1 Bb4:2 G4:1 -:1 D5:1.5 F5:.5 D5:1 Bb4:1 C5:3 -:1",
        "wa lo na so me la we no",
    ),
    harmony=True,
)

MOTH_LEDGER = Score(
    name="moth-ledger",
    title="Moth Ledger",
    rate_hz=48_000,
    tempo_bpm=88.0,
    scale=(0, 2, 3, 5, 7, 8, 10),
    parts=(
        Part(
            name="intro",
            kind="intro",
            bars=2,
            chords="Cm Ab",
            lanes={"finger": _FINGER, "arco": "r==============="},
            fader_db=1.0,
        ),
        _VERSE,
        _REFRAIN,
        again(_VERSE, "verse 2", vibes="o==============="),
        again(_REFRAIN, "refrain 2"),
        Part(
            name="interlude",
            kind="interlude",
            bars=2,
            chords="Fm Gm",
            lanes={
                "finger": _FINGER,
                "arco": "r=======r=======",
                "vibes": "o===o===o===o===",
                "pad": "o===============",
            },
        ),
        again(_REFRAIN, "refrain 3"),
        Part(
            name="outro",
            kind="outro",
            bars=2,
            chords="Ab Cm",
            lanes=_VERSE.lanes,
            fill={"finger": "x...............", "arco": "r===============", "keys": WHOLE, "vibes": WHOLE},
            rings_s=2.0,
        ),
    ),
    levels_db={"finger": 3.0, "arco": -0.5, "pad": 2.0, "strum": -1.0, "lead": 2.0, "harmony": 2.5},
    guests=STAGE,
    glue_dbfs=-24.0,
    peak_dbfs=-4.0,
)
