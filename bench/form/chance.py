"""Songs made up by chance, as many as wanted, on which weights of the finder are set; never scored."""

from __future__ import annotations

import numpy as np

from arsis.demo.arrange import seeded

from .score import NAMES, FormScore, Music

# (sixteenths in a bar, in a beat), how likely, grooves from full to still, and tempi.
METRES = {
    (16, 4): (0.6, ("rock", "drive", "four", "half", "break", "soft", "hats", "shake", ""), (70, 175)),
    (12, 4): (0.12, ("waltz", "waltz", "brush", ""), (90, 170)),
    (12, 6): (0.1, ("six", "six", "sway", ""), (66, 130)),
    (20, 4): (0.08, ("five", "five", "five_soft", ""), (90, 150)),
    (14, 2): (0.1, ("seven", "seven", "seven_soft", ""), (90, 150)),
}
BASSES = ("bass", "picked_bass", "sub", "saw_bass")
PLAYERS = (
    "strum",
    "keys",
    "organ",
    "tine",
    "grand",
    "guitar",
    "pad",
    "wall",
    "finger",
    "pluck",
    "haze",
    "stab",
)
FIGURES = {
    12: ("hold", "threes", "pulse", "arp", "beats"),
    16: ("hold", "halves", "beats", "pulse", "offs", "arp"),
}
FORMS = (
    "intro/A4,-voice verse/A8 chorus/B8 verse/A8 chorus/B8 bridge/C8 chorus/B8 outro/A4,-voice",
    "verse/A8 verse/A8 chorus/B8 verse/A8 chorus/B8 solo/C8 chorus/B8 chorus/B8",
    "intro/C4,-voice verse/A8 pre_chorus/P4 chorus/B8 verse/A8 pre_chorus/P4 chorus/B8 bridge/C8 chorus/B8",
    "intro/C8 verse/A16 chorus/B8 interlude/C4 verse/A16 chorus/B8 interlude/C8 chorus/B16 outro/C8",
    "intro/A4,-voice verse/A8 chorus/B6 verse/A8 chorus/B6 bridge/C5 chorus/B6 outro/A3,-voice",
    "intro/C8 verse/A12 chorus/B7 verse/A12 chorus/B7 bridge/P9 chorus/B7 chorus/B7,key=2",
)


def chance_song(number: int) -> FormScore:
    """A song by its number; the same each time."""
    rng = seeded("chance", str(number))
    metres = list(METRES)
    steps, beat = metres[int(rng.choice(len(metres), p=[METRES[metre][0] for metre in metres]))]
    _, grooves, (low, high) = METRES[steps, beat]
    minor = bool(rng.random() < 0.4)
    tonic = int(rng.integers(12))
    contrast = int(rng.integers(4))  # how many of groove, bass, players and figures change with the letter
    base = [_player(rng, steps) for _ in range(2)]
    groove, bass = str(rng.choice(grooves)), f"{rng.choice(BASSES)}:{rng.choice(['hold', 'pulse', 'halves'])}"
    music = {}
    for letter in "ABCP":
        lanes = list(base)
        if contrast >= 1 and letter != "A":
            lanes.append(_player(rng, steps))
        if contrast >= 2 and letter != "A":
            groove = str(rng.choice(grooves))
        if contrast >= 3 and letter != "A":
            lanes, bass = [_player(rng, steps) for _ in range(3)], f"{rng.choice(BASSES)}:pulse"
        tune = (
            ""
            if letter == "C" and rng.random() < 0.5
            else f"{rng.integers(60, 73)} {rng.uniform(0.2, 0.8):.1f}"
        )
        music[letter] = Music(
            _chords(rng, tonic, minor), " ".join(filter(None, [groove, bass, *lanes])), tune
        )
    return FormScore(
        name=f"chance-{number}",
        says="by chance",
        bpm=float(rng.integers(low, high)),
        tonic=NAMES[tonic],
        music=music,
        form=FORMS[int(rng.integers(len(FORMS)))],
        steps=steps,
        beat=beat,
        minor=minor,
        drift=float(rng.choice([0.0, 0.0, 0.0, 0.015])),
        marks=bool(rng.random() < 0.3),
        fade_s=float(rng.choice([0.0, 0.0, 0.0, 10.0])),
    )


def _player(rng: np.random.Generator, steps: int) -> str:
    return f"{rng.choice(PLAYERS)}:{rng.choice(FIGURES[12 if steps == 12 else 16])}"


def _chords(rng: np.random.Generator, tonic: int, minor: bool) -> str:
    """Four or eight chords of the key, by chance."""
    scale = ((0, "m"), (3, ""), (5, "m"), (7, "m"), (8, ""), (10, "")) if minor else (
        (0, ""), (2, "m"), (4, "m"), (5, ""), (7, ""), (9, "m")
    )  # fmt: skip
    picks = rng.choice(6, size=int(rng.choice([4, 4, 8])))
    return " ".join(NAMES[(tonic + scale[pick][0]) % 12] + scale[pick][1] for pick in picks)
