"""More songs with a chorus that are held out, kept apart from `real_refrains`, which has been scored.

Written blind, by one who knew nothing of what the finder says of them, how it finds or how it was scored.
Nobody listened; nothing seems to be sung. About 170 recordings more were looked through by pictures of
likeness, and 50 closely, for a full part that comes back as it was with something else between. Left out was
what is ambient, a dance tune that only gains and loses layers, and where two parts could as well be the
chorus. That favours songs that repeat exactly, as there. Styles were read from the pictures, too.

All were played by machines at one tempo, 125.47 beats a minute in Marine01 and a whole number in the others,
so that the grid is right to 0.01 s over the whole length (combat1 is in three). Every start without a ``?``
was looked at in a picture 6 s wide; where something strikes, its onset was measured and lies on the grid to
0.01 s once each file's own lead (0 to 0.03 s, 0.09 in title, 0.21 in sixtyfour_) is taken off. Starts are
right to 0.02 s, to 0.03 s where something rings on from before. What starts alone and goes on in full is one
part from its first bar; the fuller start and the halves of a part carry a ``?``, and so do two to four bars
of break.

The chorus is plain in title (dance, three times after a verse and a bridge), Marine02 (rock, three times
after a thinner verse), sixtyfour_ (electronic, three times, it has the lead) and brokenlight (rock, three
times; it plays the tune of the verse in full); likely in David04 (rock: the long tune after the riff, as loud
as the riff), Marine01 (metal, twice) and combat1 (metal, twice: the tune between the riffs); less sure in
David01 (rock: the riff of the verse with all guitars on it, twice) and track14 (electronic: the full part,
twice, and after it a long part of its own).
"""

from __future__ import annotations

from .real import RealForm

_NEXUIZ = "usr/share/games/nexuiz/data/music.pk3/sound/cdtracks/"
_UFO = "usr/share/games/ufoai/base/0music.pk3/music/"

REAL_REFRAINS_MORE: tuple[RealForm, ...] = (
    RealForm(
        "nexuiz-music",
        _NEXUIZ + "brokenlight.ogg",
        "A 0 X 15.43? X 29.14? C 42.86 X 56.57? B 70.29 C 84 X 97.72? A 111.43 X 125.14? C 138.86 X 152.57? "
        "B 166.29 K 180",
        "C",
    ),
    RealForm(
        "nexuiz-music",
        _NEXUIZ + "sixtyfour_.ogg",
        "A 0 X 7.77? X 22.88? C 38 X 53.12? D 68.24 A 83.36 X 98.47? C 113.59 X 128.71? A 143.83 X 158.95? "
        "C 174.07 X 189.18? K 204.3",
        "C",
    ),
    RealForm(
        "ufoai-music",
        _UFO + "Marine01.ogg",
        "I 0 X 15.33? X 30.63? X 42.11? C 45.94 B 84.19 D 91.84 E 107.14 X 122.45? X 137.75? I 153.05 B "
        "168.35 C 176 D 214.26",
        "C",
    ),
    RealForm(
        "ufoai-music",
        _UFO + "Marine02.ogg",
        "I 0 X 20.03? A 40.03 X 56.03? C 60.03 A 100.03 X 116.03? C 120.03 A 160.03 X 176.03? C 180.03",
        "C",
    ),
    RealForm(
        "ufoai-music",
        _UFO + "David01.ogg",
        "I 0 A 10.29 C 24 X 37.72? B 51.43 A 65.14 C 78.86 X 92.57? A 106.29 X 120? B 133.72 X 147.43?",
        "C",
    ),
    RealForm(
        "ufoai-music",
        _UFO + "David04.ogg",
        "I 0 A 6.62 X 19.86? C 33.1 I 46.35 A 52.97 X 66.21? C 79.45 I 92.69 D 99.31 E 112.55 X 125.79? A "
        "139.04 X 145.66? C 152.28 I 165.52",
        "C",
    ),
    RealForm(
        "naev-data",
        "usr/share/naev/dat/snd/music/combat1.ogg",
        "I 0 A 14.41 X 28.81? C 43.21 X 57.61? A 72.01 D 86.41 I 100.81 X 115.21? F 129.61 X 144.01? X "
        "165.61? A 172.81 X 180.01? X 187.21? H 201.61 X 216.01? C 230.41 X 244.81? A 259.21 X 273.61?",
        "C",
    ),
    RealForm(
        "blobwars-data",
        "usr/share/games/blobwars/music/title",
        "I 0 X 15.45? A 30.81 X 46.17? B 61.53 C 76.89 X 92.25? I 107.61 A 122.97 X 138.33? B 153.69 C "
        "169.05 X 184.41? D 199.77 X 215.13? X 230.49? I 245.85 A 261.21 X 276.57? B 291.93 C 307.29 X "
        "322.65? K 338.01",
        "C",
    ),
    RealForm(
        "warzone2100-music",
        "usr/share/games/warzone2100/music/albums/legacy_soundtrack/track14.opus",
        "I 0 A 29.57 C 59.11 X 88.65? B 118.19 X 147.73? C 177.26 X 206.8? D 236.34 X 251.11? X 265.88? X "
        "295.42? X 324.96? K 354.49",
        "C",
    ),
)
