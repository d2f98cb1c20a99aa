"""Ebb Clock: 112 to the minute, G dorian. Machines: a sharp s, a bottom that is too wide, a stray click."""

from __future__ import annotations

from .score import Part, Score, Weakness

_VERSE = (
    "-:1 G4:.5:sa G4:.5:so Bb4:1:ta A4:.5:se G4:.5:sa F4:1:ko G4:2:mo -:1 "
    "-:1 G4:.5:sa A4:.5:so Bb4:1:ta C5:.5:se Bb4:.5:sa G4:3:mo -:1 "
    "-:1 D4:.5:sa F4:.5:so G4:1:ta A4:.5:se G4:.5:sa F4:1:ko D4:2:mo -:1 "
    "-:1 G4:.5:sa A4:.5:so Bb4:1:ta A4:1:se C5:3:mo -:1"
)
_REFRAIN = (
    "D5:2:la Bb4:1:se C5:1:so A4:3:ta -:1 C5:2:la A4:1:se Bb4:1:so G4:3:ta -:1 "
    "D5:2:la Bb4:1:se C5:1:so F5:2:ta E5:1:sa C5:1:so D5:1:se C5:1:la Bb4:1:so A4:1:sa G4:3:ta -:1"
)
_VERSE_LANES = {
    "kick": "X...x...X...x...",
    "snare": "............X...",
    "hat": "..x...x...x...x.",
    "bass": "..R=..r=..R=..o=",
    "pluck": "x..o..x.x..o..x.",
    "keys": "o===============",
}
_REFRAIN_LANES = {
    "kick": "X...X...X...X...",
    "snare": "....X.......X...",
    "open": "..x...x...x...x.",
    "shaker": "o-x-o-x-o-x-o-x-",
    "bass": "R.R=R.r=R.R=R.o=",
    "pluck": "x..x..x.x..x..x.",
    "pad": "X===============",
    "guitar": "x==.x==.x==.x==.",
}
_QUIET_LANES = {"pad": "x===============", "pluck": "o..o..o.o..o..o.", "bass": "R==============="}
_CRASH = {"crash": "x............... ................ ................ ................"}
_FILL = {"snare": "....X.....x.x.xX"}


def _refrain(name: str) -> Part:
    return Part(
        name=name,
        kind="chorus",
        bars=8,
        chords="Bb F C Gm Bb F C Gm",
        lanes=_REFRAIN_LANES | _CRASH,
        fill=_FILL,
        melody=_REFRAIN,
        harmony=True,
    )


EBB_CLOCK = Score(
    name="ebb-clock",
    title="Ebb Clock",
    rate_hz=44_100,
    tempo_bpm=112.0,
    scale=(0, 2, 4, 5, 7, 9, 10),
    parts=(
        Part(name="intro", kind="intro", bars=4, chords="Gm C Gm C", lanes=_QUIET_LANES, fader_db=-3.0),
        Part(
            name="verse",
            kind="verse",
            bars=8,
            chords="Gm C Gm C Gm C F C",
            lanes=_VERSE_LANES,
            fill=_FILL,
            melody=_VERSE,
        ),
        _refrain("refrain 1"),
        Part(
            name="bridge",
            kind="bridge",
            bars=4,
            chords="Dm F C C",
            lanes=_QUIET_LANES,
            melody="A4:2:so D5:1:la C5:1:se A4:3:mo -:1 G4:2:so C5:1:la Bb4:1:se G4:3:mo -:1",
            fader_db=-2.0,
        ),
        Part(
            name="build",
            kind="build",
            bars=4,
            chords="C C F F",
            lanes=_QUIET_LANES
            | {
                "kick": "X...X...X...X...",
                "snare": "................ ....-.......-... -...-...-...-... -.-.o.o.xoxoxxxX",
                "riser": "................ ................ X=============== ................",
            },
            grows_db=2.0,
        ),
        _refrain("refrain 2"),
        Part(
            name="outro",
            kind="outro",
            bars=4,
            chords="Gm C Gm Gm",
            lanes=_QUIET_LANES,
            fill={"pluck": "x..............."},
            fader_db=-2.0,
            rings_s=2.5,
        ),
    ),
    levels_db={"kick": -1.5, "snare": -1.0, "guitar": 2.0, "pluck": 2.0, "bass": -1.0},
    sibilance_db=7.0,
    wide_lows=True,
    click_s=48.4,
    weaknesses=(
        Weakness("sibilance", ("all",), 7.0, "dB", "the s of the lead, about 5 to 10 kHz"),
        Weakness(
            "wide low end", ("all",), 4.2, "ms", "a doubled bass, late and turned over between left and right"
        ),
        Weakness("click", ("bridge",), 48.4, "s", "two frames, as from a bad edit"),
    ),
)
