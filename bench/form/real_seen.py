"""Real songs on which the finder may be set: none of them, nor any of their packages, is in `real.py`.

Nobody listened. Twenty-three are tracker files, whose order of patterns and notes was printed by a small script
(times of rows by libopenmpt): a section starts where players come or go or another pattern of the same
players begins for long, right to a few milliseconds; what counts is a judgement. Seven are recordings, read from
pictures of likeness, spectra and level drawn by other code than the finder's, each time set on the largest
spectral step nearby: right to half a second. All were written down before the finder had seen them. A form is
written as in `real.py`; a start that parts equal patterns, or where one player more or less goes on with the same
loop, carries a ``?``. A chorus is named where the fullest part of a score comes back as it was.
"""

from __future__ import annotations

from .real import RealForm

_HEROES = "usr/share/games/heroes/mod/"
_PEKKA = "usr/share/games/pekka-kana-2/data/music/"
_BINIAX = "usr/share/games/biniax2/music/"
_RILI = "usr/share/games/ri-li/Ri-li/Sounds/"
_IRONSEED = "usr/share/games/ironseed/sound/"
_FREEDROID = "usr/share/games/freedroid/sound/"
_WIZZNIC = "usr/share/games/wizznic/packs/000_wizznic/music/Sean Hawk - "

REAL_SEEN = (
    RealForm(
        "heroes-sound-tracks",
        _HEROES + "heroes01.xm",
        "I 0 A 14.5 X 29? B 43.49 X 57.99? C 74.3 D 81.54 E 96.04 B 117.78 X 132.28? F 146.78 X 161.27?",
        "B",
    ),
    RealForm(
        "heroes-sound-tracks",
        _HEROES + "heroes02.xm",
        "I 0 X 6.44? X 12.87? X 19.3? A 25.73 B 38.6 C 51.46 X 64.32? D 77.19 E 83.62 C 96.48 X 109.35? "
        "F 122.21 X 135.08? C 147.94 X 160.8? A 173.67",
        "C",
    ),
    RealForm(
        "heroes-sound-tracks",
        _HEROES + "heroes04.xm",
        "A 0 X 14.21? B 17.76 C 28.42 D 42.63 C 56.84 D 63.94 C 78.15 E 85.25 F 95.91 G 110.12 H 117.22",
    ),
    RealForm(
        "heroes-sound-tracks",
        _HEROES + "heroes05.xm",
        "A 0 X 6.39? X 12.77? B 19.16 X 25.54? C 38.31 D 51.08 X 57.46? X 60.65? E 63.84 X 76.61? F 89.38 "
        "X 102.15? X 114.92? G 127.68 C 140.45 H 153.22 B 165.99 D 178.76 X 181.95? X 185.14? K 188.33",
    ),
    RealForm(
        "heroes-sound-tracks",
        _HEROES + "heroes06.xm",
        "I 0 X 6.58? X 13.16? X 19.73? A 26.31 B 39.46 X 52.61? C 65.76 D 78.92 X 92.07? A 105.22 E 118.37 "
        "F 131.52 G 144.68 X 157.83?",
    ),
    RealForm(
        "heroes-sound-tracks",
        _HEROES + "heroes09.xm",
        "I 0 X 6.82? A 13.64 B 27.27 C 40.9 X 47.72? D 54.53 E 68.16 F 74.98 X 88.61? E 102.24",
    ),
    RealForm(
        "pekka-kana-2-data",
        _PEKKA + "song01.xm",
        "I 0 A 8.96 B 26.88 A 35.84 X 44.8? I 53.76 C 62.72 X 71.68? X 80.64? D 89.6 E 98.56 X 107.52? "
        "I 116.56 F 125.52 X 134.48? X 143.44? I 152.4 G 161.36 X 170.32? X 179.28?",
    ),
    RealForm(
        "pekka-kana-2-data",
        _PEKKA + "song02.xm",
        "I 0 X 5.76? A 11.52 B 23.04 C 46.08 X 57.6? I 63.36 A 69.12 B 80.64 X 103.68? F 115.2 X 126.72? "
        "G 138.24",
        "B",
    ),
    RealForm(
        "pekka-kana-2-data",
        _PEKKA + "song05.xm",
        "A 0 B 8.96 C 17.92 X 26.88? D 35.84 X 44.8? E 53.76 F 62.72 X 71.68? X 80.64? G 89.6 H 98.56 "
        "X 107.52? X 113.12?",
    ),
    RealForm(
        "pekka-kana-2-data",
        _PEKKA + "song09.xm",
        "I 0 X 8.32? A 16.64 X 24.96? B 33.28 X 49.92? C 66.56 D 74.88 X 83.2? A 91.52 X 99.84? B 108.16 "
        "E 124.8 X 133.12? F 149.76 X 158.08?",
        "B",
    ),
    RealForm(
        "pekka-kana-2-data",
        _PEKKA + "song12.xm",
        "I 0 A 12.48 X 34.32? B 37.44 C 43.68 D 56.16 X 68.64? C 81.12 B 93.6 D 106.08 X 118.56? F 131.04 "
        "X 143.52? X 156?",
    ),
    RealForm(
        "biniax2-data",
        _BINIAX + "biniax_common00.it",
        "I 0 A 11.52 B 30.72 C 38.4 D 53.76 A 65.28 E 84.48 B 99.84 C 115.2 E 130.56 I 149.76 X 165.12?",
    ),
    RealForm(
        "biniax2-data",
        _BINIAX + "biniax_common03.it",
        "A 0 B 12.8 A 25.6 C 38.4 D 51.2 E 64 D 76.8 C 89.6 B 115.2 E 128 A 140.8 X 166.4?",
    ),
    RealForm(
        "biniax2-data",
        _BINIAX + "biniax_common05.it",
        "I 0 A 7.68 X 23.04? X 30.72? X 38.4? B 46.08 E 61.44 C 69.12 E 84.48 C 92.16 A 107.52 B 115.2 "
        "A 130.56 K 138.24",
        "B",
    ),
    RealForm(
        "ri-li-data",
        _RILI + "jeu1.xm",
        "I 0 X 7.11? A 15.1 X 22.2? B 29.31 C 43.52 X 50.62? D 58.61 B 72.82 D 87.92 X 95.02? E 102.12 "
        "X 109.23?",
    ),
    RealForm(
        "ri-li-data",
        _RILI + "jeu2.xm",
        "I 0 X 4.44? X 8.88? X 13.32? A 17.76 B 35.52 C 53.28 X 62.16? D 71.04 E 88.8 F 106.56 A 124.32 "
        "F 142.08 E 159.84 B 177.6 X 195.36?",
    ),
    RealForm(
        "ironseed-data",
        _IRONSEED + "LOVE.MOD",
        "A 0 X 17.06? B 34.15 X 51.24? C 59.78 B 76.87 X 102.5? C 111.05 D 128.14 E 145.22 F 162.31",
    ),
    RealForm(
        "ironseed-data",
        _IRONSEED + "VOID.MOD",
        "I 0 X 7.16? A 14.31 X 21.46? C 35.77 D 50.07 E 64.38 X 71.53? F 78.68 D 92.98 G 107.29 D 121.68 "
        "H 136.08 X 150.48? K 164.88 X 179.28?",
        "D",
    ),
    RealForm(
        "criticalmass-data",
        "usr/share/games/criticalmass/lg-criti.xm",
        "I 0 X 6.39? A 19.16 X 31.92? B 44.69 C 57.46 X 76.61? D 83 X 95.76? E 108.53 F 121.3 X 134.07? "
        "G 146.84 H 159.6 X 172.37? X 185.14? J 197.91 X 223.44? X 248.98? X 261.75? K 274.52 L 287.28 "
        "M 300.05 X 312.82?",
    ),
    RealForm(
        "njam-data",
        "usr/share/games/njam/data/satisfy.xm",
        "I 0 X 7.68? X 15.36? X 23.04? X 30.72? B 38.4 X 69.12? X 84.48? X 99.84? C 107.52 X 122.88? B 130.56 "
        "X 138.24? X 161.28? C 168.96 X 184.32? X 192? K 207.36",
    ),
    RealForm(
        "freedroid-data",
        _FREEDROID + "starpaws.mod",
        "A 0 B 19.78 X 29.67? C 39.56 A 59.33 D 79.11 E 98.88 X 118.66? X 138.44? X 158.21?",
    ),
    RealForm(
        "freedroid-data",
        _FREEDROID + "dreamfish-green_beret.mod",
        "I 0 A 23.28 X 38.64? X 54? X 69.36? B 77.04 X 92.4? X 107.76? X 123.12? X 138.48? K 153.84",
    ),
    RealForm(
        "tomatoes-data",
        "usr/share/tomatoes/music/IHaveNoTomatoes.it",
        "I 0 A 14.48 B 45.25 C 76.02 A 106.79 D 137.56 X 144.8? E 152.04 B 181 F 213.58 X 228.06? X 242.54? "
        "X 257.02? G 264.26 X 271.5? H 278.74 X 285.98? X 293.22? G 307.7 X 314.94? H 322.18 X 336.66? "
        "K 352.95",
    ),
    RealForm(
        "wizznic-data",
        _WIZZNIC + "Sexaine.ogg",
        "I 0 A 13.7 B 41.2 C 56.8 D 78.9 E 107 X 126.5? D 140.5 X 152? X 185.7? G 191.7",
    ),
    RealForm(
        "wizznic-data",
        _WIZZNIC + "Imperia.ogg",
        "A 0 B 41.5 C 68.7 D 96.3 X 112? X 123.3? E 135.8 K 192.8",
    ),
    RealForm(
        "wizznic-data",
        _WIZZNIC + "Smash It.ogg",
        "A 0 X 13.9? B 27.5 X 40? C 52 A 79.6 X 91.6? D 104.5 C 118.3 K 144.8",
    ),
    RealForm(
        "wizznic-data",
        _WIZZNIC + "7 Nights.ogg",
        "I 0 X 24.9? A 38.5 X 51.4? X 64.1? X 77.5? B 91.3 A 102.1 X 140.6? I 179.3 X 200.3? D 204.8 X 230.5?",
    ),
    RealForm(
        "enigma-data",
        "usr/share/games/enigma/music/menu/esprit.ogg",
        "I 0 A 10.7 X 32? A 53.5 X 76? B 98.3 K 156.7",
    ),
    RealForm(
        "singularity-music",
        "usr/share/games/singularity/music/Through Space.ogg",
        "A 0 B 33.6 C 66.9 A 100.3 B 133.8 C 167.1 A 200.6",
    ),
    RealForm(
        "hyperrogue-music",
        "usr/share/hyperrogue/music/hr3-graveyard.ogg",
        "A 0 X 30.8? B 47.1 C 63.7 X 84.1? X 89.6? D 111.8",
    ),
)
