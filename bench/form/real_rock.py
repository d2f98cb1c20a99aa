"""Eight songs of rock and metal, each of two stems, that are held out: band and guitar of a game's songs.

Written blind, by one who knew nothing of what the finder says. Nobody listened. With every song lies a chart
of its guitar, made by hand: it gives the beats (every song has one tempo) and says to the note which riff is
played where. The chart's beats were laid against the attacks of the recording in four parts of every song:
muldjord's lie on them to 2 ms, sectoid's recordings come 22 to 39 ms later throughout, which is taken in. The
bars of mutilated_mime start on the second beat of the chart. Which stretches are the same was read from the
chart, from likeness of bars (spectra and pitch classes of either stem, of their sum) at the lag in question
against others, and from spectra; every start was then looked at in a picture 6 s wide of both stems and its
attacks measured in three bands. Starts are right to 0.02 s; to 0.03 s in armygeddon, whose drums are played
loosely, and in sectoid's songs where a cymbal swells.

A section that starts as the guitar alone, goes on under stops of the band and then in full is one section
from its first bar, and the fuller starts carry a ``?``; only where the whole band comes in after a rest is
that a start of its own, with the same letter. Bars of break or of fill are not counted to what follows, and
carry a ``?`` where they are two or more; so do the halves of a part that is played twice. A letter is a
riff with its chords, whoever plays it: Feelings' A and B come soft, with drums and heavy, D in Escape from
chaosland once with chords and once under a solo. Less sure: whether bar 68 of Metal madness is A (the tune
is, the drums are gone), D in War of freedom (a solo, near to A's chords), E in Escape from chaosland the
second time (the tune of the first, over B's chords).

Muldjord sings, in growls; what is named a chorus there is where the voice comes back with the same words:
what the voice does over its riff is alike by 0.93 and 0.96 in two (the same take), by 0.52 in armygeddon, by
0.21 or less in every other sung part that comes back, so that mutilated_mime has none. Sectoid does not sing:
Feelings has a full part with a tune that comes three times; in the other three several tunes come back, none
is plainly the chorus, and none is named.
"""

from __future__ import annotations

from .real import RealForm

_SONGS = "usr/share/games/fretsonfire/data/songs/"
_STEMS = ("song.ogg", "guitar.ogg")

REAL_ROCK: tuple[RealForm, ...] = (
    RealForm(
        "fretsonfire-songs-muldjord",
        _SONGS + "muldjord/armygeddon",
        "A 0 X 5.65? A 11.27 B 22.57 X 33.88? C 45.17 X 56.47? D 67.78 A 73.4 B 84.71 X 96? C 107.29 X "
        "118.59? D 129.86 E 135.53 X 146.82? F 158.13 G 169.39 K 183.52",
        "C",
        stems=_STEMS,
    ),
    RealForm(
        "fretsonfire-songs-muldjord",
        _SONGS + "muldjord/chaos_god",
        "I 0 A 9.88 B 21.18 X 26.82? C 38.12 D 49.41 X 55.06? E 57.88 X 69.18? B 80.47 X 86.12? C 97.41 "
        "X 108.71? F 111.53 F 122.82 G 134.12 D 145.41 X 151.06? E 153.88 X 165.18? B 176.47",
        "E",
        stems=_STEMS,
    ),
    RealForm(
        "fretsonfire-songs-muldjord",
        _SONGS + "muldjord/internal_degeneration",
        "A 0 X 11.37? B 22.74 X 32.84? C 42.95 X 53.05? D 63.16 X 73.26? E 83.37 X 88.42? F 93.47 X "
        "103.58? X 113.68? X 123.79? A 133.89 X 144? B 155.37 X 165.47? C 175.58 X 185.68? D 195.79 X "
        "205.89? E 216",
        "D",
        stems=_STEMS,
    ),
    RealForm(
        "fretsonfire-songs-muldjord",
        _SONGS + "muldjord/mutilated_mime",
        "I 0 X 5.67? X 11? A 13.67 X 19? X 24.33? X 35? B 37.67 X 48.33? B 59 X 69.67? X 80.33? C 83 X "
        "93.67? X 104.33? B 107 X 117.67? X 128.33? D 131 X 141.67? A 152.33 X 157.67? X 163? E 168.33 "
        "F 173.67 X 179? G 184.33",
        stems=_STEMS,
    ),
    RealForm(
        "fretsonfire-songs-sectoid",
        _SONGS + "sectoid/Escape from chaosland",
        "I 0 X 7.14? A 14.25 B 28.47 C 42.69 D 56.92 X 71.14? X 78.25? E 85.36 X 99.58? A 113.81 B "
        "128.03 D 142.25 X 156.47? E 170.69 X 184.92? K 199.14",
        stems=_STEMS,
    ),
    RealForm(
        "fretsonfire-songs-sectoid",
        _SONGS + "sectoid/Feelings",
        "A 0 X 20.24? X 30.35? B 45.51 X 65.72? A 85.93 X 106.14? B 131.4 X 151.61? A 171.82 A 192.03 X "
        "212.24? B 237.51 X 257.72? K 277.93",
        "B",
        stems=_STEMS,
    ),
    RealForm(
        "fretsonfire-songs-sectoid",
        _SONGS + "sectoid/Metal madness",
        "I 0 A 6.44 B 19.24 A 32.04 C 44.84 X 57.64? D 70.44 X 83.24? B 96.04 A 108.84 X 118.44? C "
        "121.64 K 134.44",
        stems=_STEMS,
    ),
    RealForm(
        "fretsonfire-songs-sectoid",
        _SONGS + "sectoid/War of freedom",
        "A 0 A 13.76 X 27.47? B 41.19 X 51.47? C 54.9 X 68.62? D 82.33 A 96.05 X 109.76? X 123.47? E "
        "137.19 X 150.9? K 164.62",
        stems=_STEMS,
    ),
)
