"""Real songs on which the finder may be set: none of them, nor any of their packages, is in `real.py`.

Nobody listened. Twenty-three are tracker files, whose order of patterns and notes was printed by a small
script (times of rows by libopenmpt): a section starts where players come or go or another pattern of the same
players begins for long, right to a few milliseconds; what counts is a judgement. They were written down
before the finder had seen them. Nineteen are recordings. The first seven were first read from coarse
pictures, right to half a second at best, and then written anew as in `real.py`, blind to the finder: an own
grid of bars (each has one tempo; Smash It has two half bars, hr3-graveyard some bars of five beats), then
each start looked at in a picture 6 s wide. They are right to 0.03 s, Imperia and esprit, whose tones set in
softly or ahead of the beat, to 0.04 s; where only a filter shuts (7 Nights at 200 s) to a second. Some moved
by a whole bar. The last twelve were written so from the start, by another who had seen nothing of the finder,
and measured their onsets at every start: right to 0.03 s where drums or a bass strike (Mysteria, In Rome,
Wizz 3, Deprecation, Coherence, Nebula, By-Product, hr3-hell, hr3-laboratory), to 0.05 s where hands play
loosely or tones set in softly (japanese, enigma_rag, on_the_water). Their bars are plain but in the rag,
where the new key comes two bars before its tune, and in In Rome, where a bar of break comes before most
sections and is not counted to them. What is only a layer more on the same loop carries a ``?``.

A form is written as in `real.py`; a start that parts equal patterns, or where one player more or less goes on
with the same loop, carries a ``?``. A chorus is named where the fullest part of a score comes back as it was.
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
_ENIGMA = "usr/share/games/enigma/music/"
_SINGULARITY = "usr/share/games/singularity/music/"
_HYPERROGUE = "usr/share/hyperrogue/music/"

REAL_SEEN = (
    RealForm(
        "heroes-sound-tracks",
        _HEROES + "heroes01.xm",
        "I 0 A 14.54 X 29.08? B 43.63 X 58.17? C 74.53 D 81.8 E 96.34 B 118.15 X 132.69? F 147.23 X 161.77?",
        "B",
    ),
    RealForm(
        "heroes-sound-tracks",
        _HEROES + "heroes02.xm",
        "I 0 X 6.44? X 12.87? X 19.31? A 25.74 B 38.61 C 51.48 X 64.35? D 77.22 E 83.65 C 96.52 X 109.39? "
        "F 122.26 X 135.13? C 148 X 160.87? A 173.74",
        "C",
    ),
    RealForm(
        "heroes-sound-tracks",
        _HEROES + "heroes04.xm",
        "A 0 X 14.21? B 17.76 C 28.42 D 42.63 C 56.84 D 63.95 C 78.16 E 85.26 F 95.92 G 110.13 H 117.24",
    ),
    RealForm(
        "heroes-sound-tracks",
        _HEROES + "heroes05.xm",
        "A 0 X 6.4? X 12.8? B 19.2 X 25.6? C 38.4 D 51.2 X 57.6? X 60.8? E 64 X 76.8? F 89.6 X 102.4? X "
        "115.2? G 128 C 140.8 H 153.6 B 166.4 D 179.2 X 182.4? X 185.6? K 188.8",
    ),
    RealForm(
        "heroes-sound-tracks",
        _HEROES + "heroes06.xm",
        "I 0 X 6.62? X 13.24? X 19.85? A 26.47 B 39.71 X 52.94? C 66.18 D 79.41 X 92.65? A 105.88 E "
        "119.12 F 132.35 G 145.59 X 158.83?",
    ),
    RealForm(
        "heroes-sound-tracks",
        _HEROES + "heroes09.xm",
        "I 0 X 6.85? A 13.71 B 27.41 C 41.12 X 47.97? D 54.82 E 68.53 F 75.38 X 89.09? E 102.79",
    ),
    RealForm(
        "pekka-kana-2-data",
        _PEKKA + "song01.xm",
        "I 0 A 8.96 B 26.88 A 35.84 X 44.8? I 53.76 C 62.72 X 71.68? X 80.64? D 89.6 E 98.56 X 107.52? I "
        "116.56 F 125.52 X 134.48? X 143.44? I 152.4 G 161.36 X 170.32? X 179.28?",
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
        "A 0 B 8.96 C 17.92 X 26.88? D 35.84 X 44.8? E 53.76 F 62.72 X 71.68? X 80.64? G 89.6 H 98.56 X "
        "107.52? X 113.12?",
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
        "I 0 A 12.5 X 34.36? B 37.49 C 43.73 D 56.23 X 68.72? C 81.22 B 93.72 D 106.21 X 118.71? F 131.2 "
        "X 143.7? X 156.19?",
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
        "I 0 A 7.68 X 23.04? X 30.72? X 38.4? B 46.08 E 61.44 C 69.12 E 84.48 C 92.16 A 107.52 B 115.2 A "
        "130.56 K 138.24",
        "B",
    ),
    RealForm(
        "ri-li-data",
        _RILI + "jeu1.xm",
        "I 0 X 7.11? A 15.1 X 22.2? B 29.31 C 43.52 X 50.63? D 58.62 B 72.83 D 87.93 X 95.03? E 102.14 X "
        "109.24?",
    ),
    RealForm(
        "ri-li-data",
        _RILI + "jeu2.xm",
        "I 0 X 4.44? X 8.88? X 13.32? A 17.76 B 35.53 C 53.29 X 62.17? D 71.05 E 88.82 F 106.58 A 124.34 "
        "F 142.11 E 159.87 B 177.63 X 195.4?",
    ),
    RealForm(
        "ironseed-data",
        _IRONSEED + "LOVE.MOD",
        "A 0 X 17.11? B 34.25 X 51.38? C 59.95 B 77.09 X 102.79? C 111.36 D 128.49 E 145.63 F 162.77",
    ),
    RealForm(
        "ironseed-data",
        _IRONSEED + "VOID.MOD",
        "I 0 X 7.16? A 14.32 X 21.48? C 35.79 D 50.11 E 64.42 X 71.58? F 78.74 D 93.05 G 107.37 D 121.79 "
        "H 136.21 X 150.63? K 165.05 X 179.47?",
        "D",
    ),
    RealForm(
        "criticalmass-data",
        "usr/share/games/criticalmass/lg-criti.xm",
        "I 0 X 6.4? A 19.2 X 32? B 44.8 C 57.6 X 76.8? D 83.2 X 96? E 108.8 F 121.6 X 134.4? G 147.2 H "
        "160 X 172.8? X 185.6? J 198.4 X 224? X 249.6? X 262.4? K 275.2 L 288 M 300.8 X 313.6?",
    ),
    RealForm(
        "njam-data",
        "usr/share/games/njam/data/satisfy.xm",
        "I 0 X 7.68? X 15.36? X 23.04? X 30.72? B 38.4 X 69.12? X 84.48? X 99.84? C 107.52 X 122.88? B "
        "130.56 X 138.24? X 161.28? C 168.96 X 184.32? X 192? K 207.36",
    ),
    RealForm(
        "freedroid-data",
        _FREEDROID + "starpaws.mod",
        "A 0 B 19.78 X 29.68? C 39.57 A 59.35 D 79.13 E 98.92 X 118.7? X 138.48? X 158.27?",
    ),
    RealForm(
        "freedroid-data",
        _FREEDROID + "dreamfish-green_beret.mod",
        "I 0 A 23.28 X 38.64? X 54? X 69.36? B 77.04 X 92.4? X 107.76? X 123.12? X 138.48? K 153.84",
    ),
    RealForm(
        "tomatoes-data",
        "usr/share/tomatoes/music/IHaveNoTomatoes.it",
        "I 0 A 14.54 B 45.44 C 76.34 A 107.24 D 138.14 X 145.42? E 152.69 B 181.77 F 214.49 X 229.03? X "
        "243.57? X 258.11? G 265.38 X 272.65? H 279.92 X 287.2? X 294.47? G 309.01 X 316.28? H 323.55 X "
        "338.09? K 354.45",
    ),
    RealForm(
        "wizznic-data",
        _WIZZNIC + "Sexaine.ogg",
        "I 0 A 15.46 B 42.88 C 58.31 D 78.89 E 106.31 X 113.17? X 126.88? B 140.6 D 154.31 X 185.17? X "
        "188.6? G 192.03",
    ),
    RealForm(
        "wizznic-data",
        _WIZZNIC + "Imperia.ogg",
        "I 0 A 6.89 B 41.17 C 68.6 D 96.03 X 109.74? X 123.46? E 137.17 K 192.03",
    ),
    RealForm(
        "wizznic-data",
        _WIZZNIC + "Smash It.ogg",
        "A 0 X 14.41? B 27.21 X 40.03? C 52.83 A 79.23 X 92.03? D 104.82 C 118.43 K 144.03",
    ),
    RealForm(
        "wizznic-data",
        _WIZZNIC + "7 Nights.ogg",
        "I 0 E 25.63 A 38.43 X 51.23? X 64.03? X 76.82? B 89.63 A 102.43 X 140.83? I 179.23 X 200.03? "
        "D 204.83 I 232.04",
    ),
    RealForm(
        "enigma-data",
        _ENIGMA + "menu/esprit.ogg",
        "I 0 A 10.91 C 32.75 A 54.55 C 76.39 B 98.18 K 156.37",
    ),
    RealForm(
        "singularity-music",
        _SINGULARITY + "Through Space.ogg",
        "A 0 B 33.39 C 66.79 A 100.17 B 133.57 C 166.96 A 200.35",
    ),
    RealForm(
        "hyperrogue-music",
        _HYPERROGUE + "hr3-graveyard.ogg",
        "A 0 E 31.36 B 47.73 X 58.64? C 64.77 X 83.86? F 89.32 D 111.14 A 122.04",
    ),
    RealForm(
        "pushover-data",
        "usr/share/pushover/themes/japanese.ogg",
        "I 0 X 5.96? X 11.97? X 23.98? A 35.98 X 47.97? B 59.99 X 72? C 78.02 D 96.05 A 108 X 120? B 132.01 "
        "X 144.01? C 150.04 A 168.09 X 180.09? B 192.13 X 204.12? C 210.14",
        "C",
    ),
    RealForm(
        "wizznic-data",
        _WIZZNIC + "Mysteria.ogg",
        "I 0 A 13.74 B 27.45 X 34.31? X 41.17? X 54.88? C 68.6 X 75.46? X 89.17? X 102.88? D 109.74 X "
        "123.46? X 130.32? K 157.74",
    ),
    RealForm(
        "wizznic-data",
        _WIZZNIC + "In Rome.ogg",
        "I 0 A 14.43 X 20.83? X 33.63? B 46.43 X 59.23? C 72.03 X 84.83? D 110.43 E 116.83 E 144.03 K 171.23",
    ),
    RealForm(
        "wizznic-data",
        _WIZZNIC + "Wizz 3.ogg",
        "I 0 A 13.74 B 27.45 X 41.17? C 54.88 D 61.74 X 75.46? E 89.17 X 109.74? F 116.6 X 130.31? E 157.74 "
        "K 171.46",
    ),
    RealForm(
        "singularity-music",
        _SINGULARITY + "Deprecation.ogg",
        "I 0 A 14.76 B 29.53 A 44.3 B 59.07 C 73.84 D 110.76 X 125.52? A 143.99 B 158.75 A 173.52 B 188.29 C "
        "203.05 D 239.98 X 254.75? K 269.51",
        "D",
    ),
    RealForm(
        "singularity-music",
        _SINGULARITY + "Coherence.ogg",
        "I 0 X 13.71? X 27.43? A 41.14 B 54.85 X 68.56? C 82.27 X 95.98? B 109.69 X 123.41? C 137.12 X "
        "150.83? D 164.55 E 174.83 F 191.97 K 219.4?",
        "C",
    ),
    RealForm(
        "hyperrogue-music",
        _HYPERROGUE + "hr3-laboratory.ogg",
        "I 0 A 5.71 X 11.42? X 17.14? X 22.86? B 28.58 X 40? C 45.72 X 53.57? D 57.14 X 62.86? X 68.57? X "
        "74.28? B 80 X 85.71?",
    ),
    RealForm(
        "hyperrogue-music",
        _HYPERROGUE + "hr3-hell.ogg",
        "A 0 X 11.33? X 22.66? X 34? B 45.34 C 51.02 X 58.57? D 90.7 X 102.04? E 113.37 F 119.04 X 130.38?",
    ),
    RealForm(
        "enigma-data",
        _ENIGMA + "game/on_the_water.ogg",
        "A 0 X 9.04? X 17.61? X 26.18? B 34.75 X 51.9? A 69.04 X 77.61? X 86.18? X 94.75? B 103.32 X 120.47? "
        "A 137.61",
        "B",
    ),
    RealForm(
        "enigma-data",
        _ENIGMA + "menu/enigma_rag.ogg",
        "I 0 A 6.65 X 18.61? B 30.53 A 54.51 X 66.49? B 78.46 C 102.42 X 117.42? D 120.42 X 144.28?",
    ),
    RealForm(
        "singularity-music",
        _SINGULARITY + "Nebula.ogg",
        "I 0 A 19.2 B 38.4 X 57.6? C 76.8 X 96? D 115.2 B 134.4 X 153.6? C 172.8 X 192? D 211.2 E 230.4 X "
        "249.6? F 268.8 X 288? K 307.2",
        "B",
    ),
    RealForm(
        "singularity-music",
        _SINGULARITY + "By-Product.ogg",
        "I 0 X 19.2? A 38.4 X 57.59? B 76.79 X 95.99? A 115.18 X 134.38? B 153.58 X 172.78? C 191.97 X "
        "211.17? D 230.37 X 249.57? E 268.76 K 287.96",
    ),
)
