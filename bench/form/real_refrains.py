"""Songs with a chorus out of Debian packages that are held out: of packages on no earlier list.

Written by one who knew nothing of what the finder says of them, how it finds or how it was scored, and who
saw no weights. Nobody listened. About 270 scores and recordings of sixty packages were looked through, by
order of patterns or by pictures of likeness, for a full part with the tune that comes back as it was, with
other music between; what is ambient, a loop with layers, or has no plain chorus was passed over. That favours
songs that repeat exactly: a score on these is kinder than on songs at large. Which part is the chorus was
judged by its tune, how full it is, that it returns and what comes before it, by no rule that could be run.

The two tracker files (cerror-bomberclone_numero_2, cinderella_clown) are read from their scores, times of
rows by libopenmpt, right to a few milliseconds. The chorus of the first comes back a whole tone higher.

The recordings were all played by machines at a whole number of beats a minute, so that the grid is right to
0.01 s over the whole length. Bar lines are where bass, chords and layers change; every start was looked at in
a picture 6 s wide and its onset measured, which parted from the grid by less than 0.01 s once each file's own
lead was taken off (none to 0.03 s). Starts are right to 0.02 s; to 0.03 s where nothing strikes (automat at
40 and 104, intro2 at 22, battlesomething2 at 32 and 74.69). intro2 is in three, its sections have 14, 32 and
10 bars. In kart_grand_prix the drums come in a bar (11.11) or the lead-in a bar (60.89) before the tune; that
bar is not counted to the chorus. What is only a layer more on the same loop, or says the same part again,
carries a ``?``. Letters are less sure than starts.

The chorus is plain in cerror-bomberclone_numero_2, cinderella_clown, valley, intro2, automat and ambiphonic;
likely in overworld, battlesomething2 and kart_grand_prix, whose tune is also the main theme; less sure in tt1
(the riff of the bass makes it one), upbeat (as full as the part next to it: it has the tune) and ptn2 (dance:
the full part after an intro and after a break, with no verse of its own).
"""

from __future__ import annotations

from .real import RealForm

_BOMBER = "usr/share/games/bomberclone/music/"
_KART = "usr/share/games/supertuxkart/data/"
_NAEV = "usr/share/naev/dat/snd/music/"

REAL_REFRAINS: tuple[RealForm, ...] = (
    RealForm(
        "bomberclone-data",
        _BOMBER + "cerror-bomberclone_numero_2.xm",
        "I 0 B 12.44 A 25.24 X 38.04? C 50.84 X 63.64? B 76.44 X 82.84? D 89.24 C 95.64 X 108.44? K 121.24",
        "C",
    ),
    RealForm(
        "bomberclone-data",
        _BOMBER + "cinderella_clown.mod",
        "I 0 A 5.76 B 17.28 X 28.8? C 40.32 D 51.84 C 63.36 X 74.88? I 86.4 E 92.16 X 103.68? F 115.2 X "
        "126.72? C 138.24 X 149.76? G 161.28 X 172.8? H 178.56 X 191.36? C 204.16",
        "C",
    ),
    RealForm(
        "supertuxkart-data",
        _KART + "music/valley.ogg",
        "I 0 A 15.87 C 31.74 X 47.6? D 63.47 E 79.34 F 95.21 X 111.07? C 126.95 X 142.81?",
        "C",
    ),
    RealForm(
        "supertuxkart-data",
        _KART + "music/overworld.ogg",
        "I 0 A 12.39 X 24.77? C 37.16 A 49.55 X 61.94? D 74.32 X 86.71? C 99.1 X 111.48? X 123.87?",
        "C",
    ),
    RealForm(
        "supertuxkart-data",
        _KART + "music/kart_grand_prix.ogg",
        "I 0 X 4? X 9.33? C 11.11 A 25.33 C 32.44 B 46.67 X 59.11? C 60.89 X 75.11? K 89.33 X 96.44?",
        "C",
    ),
    RealForm(
        "supertuxkart-data",
        _KART + "tracks/introcutscene2/intro2.ogg",
        "I 0 A 8.02 X 16.02? C 22.02 X 38.02? D 54.02 X 62.02? A 64.02 X 72.02? C 78.02",
        "C",
    ),
    RealForm(
        "torus-trooper-data",
        "usr/share/games/torus-trooper/sounds/musics/tt1.ogg",
        "A 0 X 6? B 12 C 24 B 36 C 48",
        "C",
    ),
    RealForm(
        "parsec47-data",
        "usr/share/games/parsec47/sounds/ptn2.ogg",
        "I 0 C 12 X 24? B 36 C 48 X 60?",
        "C",
    ),
    RealForm(
        "naev-data",
        _NAEV + "automat.ogg",
        "A 0 X 8.02? X 24.02? C 40.02 B 56.02 A 72.02 X 88.02? C 104.02 B 120.02 X 136.02?",
        "C",
    ),
    RealForm(
        "naev-data",
        _NAEV + "ambiphonic.ogg",
        "I 0 A 21.33 X 42.67? C 64 X 85.33? A 106.67 X 128? C 149.33 X 170.67? A 192",
        "C",
    ),
    RealForm(
        "naev-data",
        _NAEV + "battlesomething2.ogg",
        "I 0 A 10.69 X 21.36? C 32.03 X 53.36? D 74.69 C 90.69 X 112.02? K 133.36",
        "C",
    ),
    RealForm(
        "naev-data",
        _NAEV + "upbeat.ogg",
        "I 0 A 8 X 16? C 32 B 48 C 56 D 64 X 72? B 80 C 96 X 108?",
        "C",
    ),
)
