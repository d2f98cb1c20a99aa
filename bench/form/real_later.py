"""Recordings out of Debian packages that are held out: no package of theirs is in `real.py`, `real_seen.py`.

Written as the last recordings in `real_seen.py`, by one who knew nothing of what the finder says: a grid of
bars fitted to the onsets over the whole length (every song has one tempo, right to 0.01 s at both ends), the
bar line from where bass, chords and layers change, every start looked at in a picture 6 s wide and its onsets
measured in three bands. Nobody listened. Starts are right to 0.02 s where drums strike, that is nearly all;
to 0.03 s in the metal of marsshooter-data, which is dense, and in lovin, whose beat sits up to 0.03 s beside
its grid. What is a section is a judgement, and letters are less sure than starts. A bar of break, or of a
held chord, before a section is not counted to it (crazy, lovin, To be happy).

A form is written as in `real.py`; what parts equal patterns, or is only a layer more on the same loop,
carries a ``?``. In the first fourteen a chorus is named where a full part comes back as it was in a song that
has one by the looks of it: more of a guess than the rest.

The last nine (from tutorial on) were added later, by another who was as blind, for their chorus: a full part
with a hook that is heard three times or more, with something else between. Some three hundred recordings were
searched for such a part by how like their stretches of ten seconds are; most were passed over because it came
twice or was a guess. That favours songs that repeat exactly: a score on these nine is kinder than on songs at
large. A bar that leads up to the chorus in full (stone_fortress) or by a fill of the drums (music013) is not
counted to it. Two are metal, by all looks sung (tutorial, 06_-_Elveszett_Lelkek): their drums go on through
most starts, so that a start is the bar line where riff and voice change. Starts are right to 0.02 s, in these
two to 0.03 s.

Starts and letters are held out. The choruses were, until they were scored for the first time; since then the
weights of `arsis.structure.kinds` are fitted to them as well (docs/sections.md).
"""

from __future__ import annotations

from .real import RealForm

_STARFIGHTER = "usr/share/starfighter/music/"
_RACER = "usr/share/games/etr/music/"
_BALLS = "usr/share/games/trackballs/music/"
_MARS = "usr/share/games/marsshooter/audio/music/"
_CLONK = "usr/share/games/openclonk/Music.ocg/"
_HORIZONS = "usr/share/unknown-horizons/content/audio/music/"

REAL_LATER = (
    RealForm(
        "starfighter-data",
        _STARFIGHTER + "last_cyber_dance.ogg",
        "I 0 A 13.72 X 27.43? B 41.15 X 54.86? X 68.57? X 82.29? C 96 D 109.72 X 123.43? I 137.15 A 150.86 D "
        "164.57 X 178.29? X 192? E 205.72 I 219.43",
    ),
    RealForm(
        "starfighter-data",
        _STARFIGHTER + "frozen_jam.ogg",
        "I 0 A 14.77 X 29.54? X 44.31? B 59.08 A 73.85 X 88.62?",
    ),
    RealForm(
        "extremetuxracer-data",
        _RACER + "spunkyrace-ks.ogg",
        "I 0 X 3.07? X 6.15? X 9.23? A 15.38 X 27.69? B 40 X 43.07? X 46.15? C 52.31 X 64.61? A 76.92 X "
        "89.23? K 101.54",
    ),
    RealForm(
        "extremetuxracer-data",
        _RACER + "calmrace-ks.ogg",
        "I 0 X 12.34? X 23.31? A 34.29 B 45.26 A 67.2 B 72.69 A 94.63 X 100.11? K 105.6 X 111.09?",
        "B",
    ),
    RealForm(
        "freedink-data",
        "usr/share/games/dink/dink/Sound/lovin.ogg",
        "A 0 B 21.94 A 42.11 B 57.78 C 77.94 A 113.77 B 129.46 X 147.37? K 167.53",
        "B",
    ),
    RealForm(
        "trackballs-data",
        _BALLS + "eurovision.ogg",
        "I 0 X 5.14? A 15.43 X 29.14? B 42.86 X 48? C 56.57 X 70.29? A 84 X 97.72? C 111.43 X 118.29? X "
        "138.86? K 145.72",
    ),
    RealForm(
        "trackballs-data",
        _BALLS + "crazy.ogg",
        "I 0 A 8.57 X 15.43? B 22.29 A 29.14 C 42.86 X 49.71? D 56.57 X 70.29? X 84? D 87.43 X 101.14? X "
        "114.86? A 118.29 K 145.71",
    ),
    RealForm(
        "marsshooter-data",
        _MARS + "06_starfall.ogg",
        "A 0 B 11.41 X 22.08? C 32.74 D 54.08 A 64.74 B 75.41 X 86.08? C 96.74 D 118.08 E 128.74 X 139.41? F "
        "150.08 X 160.74? A 171.41 B 182.08 X 192.74? K 203.41",
        "C",
    ),
    RealForm(
        "marsshooter-data",
        _MARS + "02_orphanage.ogg",
        "A 0 X 10.68? B 21.35 X 32.01? C 42.68 X 53.35? D 64.01 A 85.35 X 96.01? B 106.68 X 117.35? E 128.01 "
        "F 138.68 X 149.35? X 160.01? G 170.68 X 181.35? D 192.01 X 213.35? A 234.68 X 245.35? K 256.01",
        "D",
    ),
    RealForm(
        "marsshooter-data",
        _MARS + "08_second_birth.ogg",
        "I 0 A 13.52 X 28.88? X 44.24? B 59.6 X 74.96? C 90.32 D 119.12 E 147.92 F 163.28 X 178.64? B 194 X "
        "209.36? C 224.72 X 253.52?",
        "C",
    ),
    RealForm(
        "pink-pony-data",
        "usr/share/games/pink-pony/music/To be happy.mp3",
        "I 0 A 3.3 X 16.28? B 29.25 X 42.22? X 55.2? A 58.44 X 71.41? B 84.38 X 97.36? X 110.33? A 113.57 X "
        "126.55? B 139.52 X 152.49?",
        "B",
    ),
    RealForm(
        "openclonk-data",
        _CLONK + "Motorway.ogg",
        "I 0 A 14.77 B 29.54 A 44.31 X 59.08? B 73.85 X 88.62? A 103.39 X 118.16? B 132.93 X 147.7? C 162.46 "
        "X 177.23? K 192",
        "B",
    ),
    RealForm(
        "openclonk-data",
        _CLONK + "IslandDreams.ogg",
        "I 0 X 10.67? A 21.34 B 42.67 X 64.01? I 85.34 C 106.67 X 128.01? I 149.34 D 170.67 K 192.01",
    ),
    RealForm(
        "openclonk-data",
        _CLONK + "LucidDream.ogg",
        "I 0 A 23.13 X 46.27? B 69.4 C 92.53 X 104.1? D 115.66 X 138.8? C 161.93 X 173.49? K 185.06",
    ),
    RealForm(
        "marsshooter-data",
        "usr/share/games/marsshooter/audio/tutorial.ogg",
        "I 0 A 11.55 B 29.01 D 46.46 V 66.1 X 83.55? C 101.01 X 118.46? V 135.92 X 153.37? C 170.83 X "
        "188.28? X 205.74? E 210.1 F 227.56 C 245.01 X 262.46?",
        "C",
    ),
    RealForm(
        "marsshooter-data",
        _MARS + "06_-_Elveszett_Lelkek.ogg",
        "A 0 C 21.1 A 40.3 B 59.5 D 78.7 C 97.9 E 117.1 X 126.7? A 145.9 I 165.1 X 174.7? F 184.3 C 203.5 X "
        "222.7?",
        "C",
    ),
    RealForm(
        "hedgewars-data",
        "usr/share/games/hedgewars/Data/Music/Halloween.ogg",
        "I 0 X 12.8? A 25.6 C 38.4 X 51.2? X 64? D 76.8 X 89.6? C 102.4 X 115.2? E 128 C 140.8 X 153.6? F "
        "166.4 K 179.2",
        "C",
    ),
    RealForm(
        "supertux-data",
        "usr/share/games/supertux2/music/misc/christmas_theme.ogg",
        "I 0 B 3.02 A 9.02 C 21.02 X 33.02? X 39.02? B 45.02 E 51.02 C 63.02 X 75.02? B 87.02 F 93.02 X "
        "99.02? C 105.02 X 117.02? X 123.02? X 129.02?",
        "C",
    ),
    RealForm(
        "supertux-data",
        "usr/share/games/supertux2/music/castle/darkforestkeep.ogg",
        "B 0 A 25.99 C 41.99 X 57.99? X 65.99? D 73.98 B 91.98 X 103.98? X 111.98? C 115.98 X 131.98? X "
        "139.97? E 147.97 C 163.97 X 179.97? X 187.97?",
        "C",
    ),
    RealForm(
        "unknown-horizons",
        _HORIZONS + "waves.ogg",
        "I 0 A 15.38 X 23.06? C 38.41 D 53.77 X 57.62? X 72.97? C 78.72 E 94.09 C 109.44 F 124.81 X 136.33? "
        "C 140.16 X 155.53? G 170.89 C 186.24 X 201.61? K 216.96 X 224.65?",
        "C",
    ),
    RealForm(
        "freedroidrpg-data",
        "usr/share/freedroidrpg/data/sound/music/town.ogg",
        "A 0 C 30.03 X 44.03? A 58.03 C 88.03 X 102.03? A 116.03 C 146.03 X 160.03? X 174.03? X 188.03?",
        "C",
    ),
    RealForm(
        "cube2-data",
        "usr/share/games/cube2/packages/music/stone_fortress.ogg",
        "I 0 C 8.57 A 25.71 C 34.28 A 51.42 D 60 C 77.14 A 94.28 C 102.85 A 120 C 128.57 A 145.71 C 154.28 K "
        "171.42",
        "C",
    ),
    RealForm(
        "colobot-common-sounds",
        "usr/share/games/colobot/music/music013.ogg",
        "I 0 A 13.51 B 26.98 C 40.46 D 53.95 E 67.42 F 80.91 X 89? B 94.38 X 102.48? C 107.87 G 121.36 B "
        "134.83 D 148.32 C 161.79 B 175.27 X 188.76?",
        "C",
    ),
)
