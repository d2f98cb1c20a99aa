"""How the songs of the form corpus are written: the music of each letter once, then the form in one line.

A *form* is a row of sections, ``kind/LETTERbars`` with options after commas::

    intro/A4 verse/A8 chorus/B8,+haze:hold chorus/B8,key=2,cut=2 outro/A4,rit=0.6

``+lane`` and ``-lane`` change the players, ``+choir`` gives the voice a harmony, ``-voice`` silences it.
key: semitones up. db, grow: the mixer's hand at the start, and from there to the end. cut: beats of the last
bar, which makes it an inserted one. rest: the last bar is silent. rit: the tempo at the end, as a share.
bpm: another tempo from here on. pick: the voice enters a beat before the bar line.

*Lanes* are grooves of `GROOVES` or ``player:figure`` with a figure of `FIGURES`. A *tune* is made up by
chance from its letter, by the middle of its range and how busy it is: ``67 0.6``.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import cast

from arsis.demo.score import midi
from arsis.plan.model import SectionKind

STEPS_A_BEAT = 4
NAMES = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")

# Sixteen steps are a bar of four, twelve of three or of six eighths, twenty of five, fourteen of 7/8.
GROOVES: dict[str, dict[str, str]] = {
    "rock": {"kick": "X.......X.x.....", "snare": "....X.......X...", "hat": "x.o.x.o.x.o.x.o."},
    "drive": {"punch": "X...x.X...X.x...", "slab": "....X.......X...", "open": "x...x...x...x..."},
    "soft": {"kick": "o.........o.....", "rim": "....x.......x...", "hat": "o.-.o.-.o.-.o.-."},
    "four": {"thud": "X...X...X...X...", "clap": "....X.......X...", "open": "..x...x...x...x."},
    "kicks": {"thud": "X...X...X...X..."},
    "half": {"kick": "X.....x.........", "slab": "........X.......", "hat": "x...o...x...o..."},
    "break": {"punch": "X.........X.....", "crack": "....X..o.o..X...", "hat": "x.x.x.x.x.x.x.x."},
    "hats": {"hat": "x...o...x...o..."},
    "shake": {"shaker": "x-o-x-o-x-o-x-o-"},
    "toms": {"low_tom": "X.....x.X.......", "tom": "....x.......x.x."},
    "waltz": {"kick": "X...........", "snare": "....o...o...", "hat": "x.o.x.o.x.o."},
    "brush": {"shaker": "x...o...o...", "rim": "....o......."},
    "six": {"kick": "X.........o.", "snare": "......X.....", "hat": "x.o.o.x.o.o."},
    "sway": {"shaker": "x.-.-.o.-.-."},
    "five": {"kick": "X...........X.......", "snare": "........X.......x...", "hat": "x.o.x.o.x.o.x.o.x.o."},
    "five soft": {"kick": "o...........o.......", "rim": "........x..........."},
    "seven": {"kick": "X.......x.....", "snare": "....X.....X...", "hat": "x.o.x.o.x.o.o."},
    "seven soft": {"rim": "....x.....x...", "shaker": "x.-.x.-.x.-.-."},
}
# How a player fills a bar of any length: drawn from the first step on, cut where the bar ends.
FIGURES = {
    "hold": "X=======================",
    "halves": "X=======x=======x=======",
    "beats": "X===x===x===x===x===x===",
    "threes": "X=====x=====X=====x=====",
    "pulse": "X=x=x=x=x=x=x=x=x=x=x=x=",
    "arp": "X.o.x.o.x.o.x.o.x.o.x.o.",
    "offs": "..x...x...x...x...x...x.",
    "push": "X=====x=====x===X=====x=",
    "chug": "X-x-X-x-X-x-X-x-X-x-X-x-",
    "lilt": "X=..x=..x=..x=..x=..x=..",
    "first": "X=======................",
    "climb": "R===r===F===O===R===r===",
}


@dataclass(frozen=True, slots=True)
class Music:
    """What a letter sounds like: a chord a bar, lanes, and a tune or none."""

    chords: str
    lanes: str
    tune: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A section as the form has it."""

    kind: SectionKind
    letter: str
    bars: int
    add: tuple[str, ...] = ()
    drop: tuple[str, ...] = ()
    key: int = 0
    db: float = 0.0
    grow: float = 0.0
    cut: int | None = None
    rest: bool = False
    rit: float = 1.0
    bpm: float | None = None
    pick: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class FormScore:
    """A song. steps: sixteenths in a bar. beat: sixteenths in a beat. bpm counts quarters.

    drift: deviation of the tempo, as a share. free: no beat is kept, and none is scored.
    marks: crashes and fills where sections meet. count_in: four sticks. fade_s: at the end.
    """

    name: str
    says: str
    bpm: float
    tonic: str
    music: Mapping[str, Music]
    form: str
    steps: int = 16
    beat: int = 4
    minor: bool = False
    drift: float = 0.0
    free: bool = False
    marks: bool = False
    count_in: bool = False
    fade_s: float = 0.0
    levels_db: Mapping[str, float] = field(default_factory=dict)

    @property
    def sections(self) -> tuple[Section, ...]:
        return tuple(_section(text) for text in self.form.split())

    @property
    def scale(self) -> tuple[int, ...]:
        steps = (0, 2, 3, 5, 7, 8, 10) if self.minor else (0, 2, 4, 5, 7, 9, 11)
        return tuple(sorted((midi(f"{self.tonic}4") + step) % 12 for step in steps))


def _section(text: str) -> Section:
    head, *options = text.split(",")
    found = re.fullmatch(r"(\w+)/([A-Z])(\d+)", head)
    if found is None:
        raise ValueError(f"not a section: {text!r}")
    named = dict(option.split("=") for option in options if "=" in option)
    return Section(
        kind=cast(SectionKind, found[1]),
        letter=found[2],
        bars=int(found[3]),
        add=tuple(option[1:] for option in options if option[0] == "+"),
        drop=tuple(option[1:] for option in options if option[0] == "-"),
        key=int(named.get("key", 0)),
        db=float(named.get("db", 0.0)),
        grow=float(named.get("grow", 0.0)),
        cut=int(named["cut"]) if "cut" in named else None,
        rest="rest" in options,
        rit=float(named.get("rit", 1.0)),
        bpm=float(named["bpm"]) if "bpm" in named else None,
        pick="pick" in options,
    )


def lanes(text: str, section: Section, low: frozenset[str]) -> dict[str, str]:
    """Patterns of a section's players by lane; `low`: the players that are written as a bass is."""
    wanted = [name for name in text.split() if name.split(":")[0] not in section.drop]
    found: dict[str, str] = {}
    for name in (*wanted, *(name for name in section.add if name != "choir")):
        player, _, figure = name.replace("_", " ").partition(":")
        if figure:
            player = player.replace(" ", "_")
            pattern = FIGURES[figure]
            found[player] = pattern.translate(str.maketrans("Xxo-", "Rrfr")) if player in low else pattern
        else:
            found |= GROOVES[player]
    return found


def moved(chord: str, semitones: int) -> str:
    """A chord so many semitones up."""
    found = re.fullmatch(r"([A-G][#b]?)(.*)", chord)
    if found is None:
        raise ValueError(f"not a chord: {chord!r}")
    return NAMES[(midi(f"{found[1]}4") + semitones) % 12] + found[2]
