"""Songs of the form corpus that may be looked at while the finder is made."""

from __future__ import annotations

from .score import FormScore, Music

SEEN = (
    FormScore(
        name="pear-tree",
        says="4/4, a pop song with everything to mark it",
        bpm=112.0,
        tonic="G",
        marks=True,
        music={
            "A": Music("G D Em C", "hats keys:halves bass:halves"),
            "B": Music("G C Em D G C Am D", "rock bass:pulse strum:pulse", "66 0.5"),
            "P": Music("Am Em F D", "rock bass:pulse strum:pulse organ:hold", "69 0.7"),
            "C": Music("C G D Em C G D D", "drive bass:pulse guitar:chug pad:hold jingle:arp", "72 0.4"),
            "D": Music("Em Bm C Am", "half bass:hold pad:hold pluck:arp", "69 0.3"),
        },
        form="intro/A4 verse/B8 pre_chorus/P4 chorus/C8,+choir verse/B8 pre_chorus/P4 chorus/C8,+choir "
        "bridge/D8 chorus/C8,+choir chorus/C8,+choir,+haze:hold outro/A4",
    ),
    FormScore(
        name="plain-wool",
        says="4/4, one guitar, bass and voice throughout: only chords and tune change",
        bpm=96.0,
        tonic="C",
        music={
            "A": Music("C G Am F C G F C", "strum:pulse bass:halves", "64 0.5"),
            "B": Music("F C G Am F C G G", "strum:pulse bass:halves", "67 0.4"),
            "C": Music("Dm Am Dm G", "strum:pulse bass:halves", "62 0.6"),
        },
        form="intro/A4,-voice verse/A8 verse/A8 chorus/B8 verse/A8 chorus/B8 bridge/C8 chorus/B8 "
        "outro/A4,-voice",
    ),
    FormScore(
        name="paper-boat",
        says="3/4, a waltz with brushes, then a band",
        bpm=132.0,
        tonic="D",
        steps=12,
        music={
            "A": Music("D G A D Bm G A A", "brush grand:hold", "64 0.4"),
            "B": Music("G D A Bm G D A D", "waltz grand:beats bass:hold pad:hold", "69 0.3"),
            "C": Music("Em Bm Em A", "brush organ:hold bass:beats", "66 0.5"),
        },
        form="intro/A8,-voice,-brush verse/A16 chorus/B16 verse/A16,+bass:hold chorus/B16 bridge/C8 "
        "chorus/B16 outro/A8,-voice,rit=0.6",
    ),
    FormScore(
        name="slow-oar",
        says="6/8, a slow song that fills up",
        bpm=84.0,
        tonic="E",
        minor=True,
        steps=12,
        beat=6,
        music={
            "A": Music("Em C G D", "sway finger:arp", "64 0.4"),
            "B": Music("C G D Em", "six bass:threes guitar:threes pad:hold", "69 0.3"),
            "C": Music("Am C D Em", "six wall:hold bass:pulse", ""),
        },
        form="intro/A4,-voice,-sway verse/A8 chorus/B8 verse/A8,+bass:hold chorus/B8 solo/C8,+twang:arp "
        "chorus/B8,+choir outro/A4,-voice",
    ),
    FormScore(
        name="fifth-stair",
        says="5/4, a count-in and a steady band",
        bpm=138.0,
        tonic="A",
        minor=True,
        steps=20,
        count_in=True,
        music={
            "A": Music("Am G F E", "five bass:push tine:beats"),
            "B": Music("Am Am F G", "five bass:push tine:beats", "69 0.6"),
            "C": Music("F G Am C F G E E", "five bass:pulse organ:hold guitar:chug", "72 0.4"),
            "D": Music("Dm Dm Am Am", "five_soft bass:hold tine:hold", "67 0.2"),
        },
        form="intro/A4 verse/B8 chorus/C8 verse/B8 chorus/C8 bridge/D8 chorus/C8 outro/A4",
    ),
    FormScore(
        name="odd-socks",
        says="7/8, riffs",
        bpm=126.0,
        tonic="B",
        minor=True,
        steps=14,
        beat=2,
        music={
            "A": Music("Bm Bm A G", "seven picked_bass:pulse twang:arp"),
            "B": Music("Bm G A Em", "seven picked_bass:pulse stab:lilt", "66 0.6"),
            "C": Music("G D A Bm", "seven picked_bass:pulse wall:chug haze:hold", "71 0.3"),
            "D": Music("Em G Em A", "seven_soft tine:hold sub:hold", ""),
        },
        form="intro/A8 verse/B16 chorus/C8 verse/B16 chorus/C8 break/D8 interlude/A8 chorus/C8 chorus/C8",
    ),
    FormScore(
        name="night-tram",
        says="4/4, a machine: builds, drops and a breakdown, 5.5 minutes",
        bpm=126.0,
        tonic="F",
        minor=True,
        music={
            "A": Music("Fm Fm Db Eb", "kicks shaker:chug saw_bass:offs"),
            "B": Music("Fm Db Ab Eb", "four saw_bass:offs stab:lilt"),
            "C": Music("Fm Db Ab Eb", "four saw_bass:pulse stab:push haze:hold pluck:arp"),
            "D": Music("Db Ab Fm Eb", "haze:hold tine:arp", "69 0.4"),
            "E": Music("Fm Db Ab Eb", "shake stab:chug crack:beats"),
        },
        form="intro/A16,-saw_bass intro/A16 verse/B16 build/E8,grow=5,db=-5 chorus/C16 verse/B16 break/D16 "
        "build/E8,grow=5,db=-5 chorus/C16 chorus/C16,+jingle:offs verse/B16 outro/A16",
    ),
    FormScore(
        name="loose-step",
        says="4/4 with bars of two beats put in, sections of 5, 7 and 9 bars",
        bpm=104.0,
        tonic="E",
        music={
            "A": Music("E A C#m B A", "rock bass:pulse strum:push", "64 0.6"),
            "B": Music("A E B C#m A E B", "rock bass:halves strum:pulse organ:hold", "68 0.4"),
            "C": Music("F#m C#m A", "soft bass:hold tine:halves", "66 0.3"),
        },
        form="intro/A3,-voice verse/A9 chorus/B7,cut=2 verse/A9 chorus/B7,cut=2 bridge/C5 chorus/B7,cut=2 "
        "chorus/B7 outro/A5,-voice",
    ),
    FormScore(
        name="breathing",
        says="4/4, a ballad whose tempo wanders by 4 % and slows at the end",
        bpm=72.0,
        tonic="F",
        drift=0.025,
        music={
            "A": Music("F C Dm Bb", "grand:beats", "65 0.3"),
            "B": Music("Bb F C Dm Bb F C C", "soft grand:beats bass:halves pad:hold", "69 0.3"),
            "C": Music("Gm Dm Bb C", "half grand:beats bass:hold pad:hold wall:hold", ""),
        },
        form="intro/A4,-voice verse/A8 chorus/B8 verse/A8,+bass:hold chorus/B8,+choir solo/C8,+twang:arp "
        "chorus/B8,+choir outro/A4,rit=0.5",
    ),
    FormScore(
        name="last-bus",
        says="4/4, the last refrains a tone up, then a fade-out",
        bpm=122.0,
        tonic="A",
        marks=True,
        fade_s=14.0,
        music={
            "A": Music("A F#m D E", "rock bass:pulse keys:offs"),
            "B": Music("A E F#m D A E D D", "rock bass:pulse keys:offs strum:pulse", "66 0.6"),
            "C": Music("D A E F#m D A E E", "rock bass:pulse guitar:pulse keys:halves pad:hold", "71 0.4"),
        },
        form="intro/A4 verse/B8 chorus/C8 verse/B8 chorus/C8 interlude/A4 chorus/C8,key=2 "
        "chorus/C8,key=2,+choir chorus/C8,key=2,+choir",
    ),
    FormScore(
        name="iron-hill",
        says="4/4, loud and flat, the refrain in half time, pick-ups",
        bpm=168.0,
        tonic="D",
        minor=True,
        music={
            "A": Music("Dm Bb F C", "drive picked_bass:pulse wall:chug"),
            "B": Music("Dm Dm Bb C", "drive picked_bass:pulse wall:chug", "65 0.7"),
            "C": Music("Bb F C Dm", "half picked_bass:hold wall:hold haze:hold", "70 0.3"),
            "D": Music("Gm Dm Gm A", "toms picked_bass:pulse", ""),
        },
        form="intro/A8 verse/B16 chorus/C16,pick interlude/A8 verse/B16 chorus/C16,pick bridge/D8,+twang:arp "
        "chorus/C16,pick chorus/C8,pick",
    ),
    FormScore(
        name="open-window",
        says="free time: piano and voice, nobody counts",
        bpm=70.0,
        tonic="G",
        free=True,
        drift=0.06,
        music={
            "A": Music("G C Em D", "grand:halves", "66 0.3"),
            "B": Music("C D Bm Em C D G G", "grand:beats sub:hold", "71 0.4"),
            "C": Music("Am Em Am D", "tine:hold haze:hold", "64 0.2"),
        },
        form="intro/A4,-voice verse/A8 chorus/B8 verse/A8 chorus/B8 bridge/C8 chorus/B8 "
        "outro/A4,-voice,rit=0.6",
    ),
    FormScore(
        name="same-chairs",
        says="4/4, the same band on the same four chords: the tune alone tells",
        bpm=108.0,
        tonic="D",
        music={
            "A": Music("D Bm G A", "rock bass:pulse strum:pulse", "62 0.8"),
            "B": Music("D Bm G A", "rock bass:pulse strum:pulse", "72 0.2"),
            "C": Music("D Bm G A", "rock bass:pulse strum:pulse"),
        },
        form="intro/C4 verse/A8 chorus/B8 verse/A8 chorus/B8 interlude/C8 verse/A8 chorus/B8 outro/C4",
    ),
    FormScore(
        name="short-errand",
        says="4/4, under a minute",
        bpm=140.0,
        tonic="C",
        music={
            "A": Music("C F G F", "drive bass:pulse strum:pulse", "67 0.7"),
            "B": Music("Am F C G", "rock bass:pulse guitar:halves organ:hold", "72 0.4"),
        },
        form="intro/A4,-voice verse/A8 chorus/B8 verse/A4 chorus/B4 outro/A2,-voice,rit=0.7",
    ),
    FormScore(
        name="long-water",
        says="4/4, eight minutes: layers come in inside sections, a silent bar, another tempo",
        bpm=100.0,
        tonic="A",
        minor=True,
        music={
            "A": Music("Am Am F F", "haze:hold tine:arp"),
            "B": Music("Am F C G", "soft bass:halves tine:arp", "64 0.3"),
            "C": Music("F C G Am", "rock bass:pulse guitar:halves organ:hold", "69 0.4"),
            "D": Music("Dm Am Dm E", "drive picked_bass:pulse wall:chug"),
            "E": Music("F G Am C", "half picked_bass:hold wall:hold haze:hold organ:hold", "72 0.2"),
        },
        form="intro/A16 verse/B16 chorus/C16 verse/B16,+pluck:arp chorus/C16,rest "
        "solo/D16,bpm=116,+twang:arp interlude/D8 bridge/A16,bpm=100 verse/B16 chorus/C16 other/E16 "
        "other/E16,+choir outro/A16",
    ),
)
