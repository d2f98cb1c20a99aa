"""Songs of the form corpus that are for scoring only: nothing is set on them."""

from __future__ import annotations

from .score import FormScore, Music

UNSEEN = (
    FormScore(
        name="tin-roof",
        says="4/4, a rock song with plain marks",
        bpm=132.0,
        tonic="A",
        marks=True,
        count_in=True,
        music={
            "A": Music("A A D E", "drive picked_bass:pulse guitar:push"),
            "B": Music("A D A E", "rock picked_bass:pulse guitar:offs", "66 0.7"),
            "C": Music("D A E F#m D A E E", "drive picked_bass:pulse wall:beats organ:hold", "71 0.4"),
            "D": Music("Bm F#m Bm E", "toms picked_bass:halves twang:arp"),
        },
        form="intro/A8 verse/B8 verse/B8,+organ:hold chorus/C8 interlude/A4 verse/B8 chorus/C8 solo/D8 "
        "chorus/C8,+choir chorus/C8,+choir outro/A4,rit=0.7",
    ),
    FormScore(
        name="kitchen-song",
        says="4/4, two guitars and a voice, hardly any contrast",
        bpm=88.0,
        tonic="E",
        music={
            "A": Music("E A E B E A B E", "finger:arp strum:halves", "59 0.5"),
            "B": Music("A E B C#m A E B B", "finger:arp strum:pulse", "64 0.4"),
            "C": Music("C#m G#m A B", "finger:arp strum:halves", "61 0.3"),
        },
        form="intro/A4,-voice verse/A8 chorus/B8 verse/A8 verse/A8 chorus/B8 bridge/C4 chorus/B8 "
        "outro/A4,-voice",
    ),
    FormScore(
        name="mill-wheel",
        says="3/4, quick, a dance band",
        bpm=168.0,
        tonic="G",
        steps=12,
        music={
            "A": Music("G G D D C C G D", "waltz bass:hold strum:beats twang:arp"),
            "B": Music("G Em C D G Em D G", "waltz bass:hold strum:beats", "67 0.5"),
            "C": Music("C G D Em C G D D", "waltz bass:beats strum:pulse organ:hold", "71 0.4"),
        },
        form="intro/A8 verse/B16 chorus/C16 interlude/A8 verse/B16 chorus/C16 interlude/A16 chorus/C16 "
        "outro/A8",
    ),
    FormScore(
        name="lantern-hill",
        says="6/8, brisk, electric",
        bpm=108.0,
        tonic="D",
        steps=12,
        beat=6,
        music={
            "A": Music("D G D A", "six bass:threes twang:arp"),
            "B": Music("D A Bm G", "six bass:threes strum:threes", "66 0.5"),
            "C": Music("G A D Bm G A D D", "six bass:pulse guitar:threes pad:hold jingle:threes", "71 0.3"),
            "D": Music("Em Bm Em A", "sway tine:hold", "64 0.4"),
        },
        form="intro/A4 verse/B8 chorus/C8 verse/B8 chorus/C8 bridge/D8 chorus/C8 chorus/C8,+choir outro/A4",
    ),
    FormScore(
        name="five-mile",
        says="5/4, quiet verses and full refrains",
        bpm=116.0,
        tonic="C",
        steps=20,
        music={
            "A": Music("C Am F G", "five_soft grand:beats", "65 0.4"),
            "B": Music("F G Am Em F G C C", "five grand:pulse bass:push pad:hold", "70 0.4"),
            "C": Music("Dm Am Dm G", "five bass:pulse wall:hold"),
        },
        form="intro/A4,-voice verse/A8 chorus/B8 verse/A8,+bass:hold chorus/B8 solo/C4,+twang:arp chorus/B8 "
        "outro/A4",
    ),
    FormScore(
        name="seven-keys",
        says="7/8, a pulse of machines",
        bpm=144.0,
        tonic="G",
        minor=True,
        steps=14,
        beat=2,
        music={
            "A": Music("Gm Eb Bb F", "seven_soft pluck:arp sub:hold"),
            "B": Music("Gm Gm Eb F", "seven saw_bass:pulse pluck:arp", "67 0.5"),
            "C": Music("Eb F Gm Bb", "seven saw_bass:pulse stab:lilt haze:hold", "72 0.3"),
        },
        form="intro/A8 verse/B16 chorus/C16 verse/B8 chorus/C16 break/A16 chorus/C16 outro/A8",
    ),
    FormScore(
        name="glass-engine",
        says="4/4, a machine at 174: a break beat, two drops",
        bpm=174.0,
        tonic="E",
        minor=True,
        music={
            "A": Music("Em Em C D", "haze:hold pluck:arp"),
            "B": Music("Em C G D", "break sub:halves haze:hold"),
            "C": Music("Em C G D", "break saw_bass:pulse stab:push jingle:arp"),
            "D": Music("C G Am Em", "haze:hold tine:halves", "69 0.3"),
            "E": Music("Em C G D", "shake crack:beats haze:hold"),
        },
        form="intro/A16 verse/B32 build/E8,grow=6,db=-6 chorus/C32 break/D16 build/E8,grow=6,db=-6 "
        "chorus/C32 verse/B16 outro/A16",
    ),
    FormScore(
        name="crooked-lane",
        says="4/4 with bars of one and two beats put in, sections of 5, 6 and 11 bars",
        bpm=118.0,
        tonic="D",
        music={
            "A": Music("D C G D", "soft bass:halves strum:push", "62 0.5"),
            "B": Music("G D A Bm G A", "rock bass:pulse strum:pulse keys:offs", "69 0.4"),
            "C": Music("Em G D A Em", "half bass:hold organ:hold"),
        },
        form="intro/A5,-voice verse/A11,cut=2 chorus/B6 verse/A11,cut=2 chorus/B6,cut=1 solo/C5,+twang:arp "
        "chorus/B6 chorus/B6 outro/A5,-voice",
    ),
    FormScore(
        name="candle-end",
        says="4/4, strings of a wandering tempo, a band that comes late, slows at the end",
        bpm=82.0,
        tonic="Eb",
        drift=0.03,
        music={
            "A": Music("Eb Cm Ab Bb", "finger:arp pad:hold", "63 0.4"),
            "B": Music("Ab Eb Bb Cm Ab Eb Bb Bb", "soft bass:halves strum:pulse pad:hold", "67 0.3"),
            "C": Music("Fm Cm Ab Bb", "half bass:pulse strum:pulse organ:hold", "70 0.5"),
        },
        form="intro/A4,-voice verse/A8 chorus/B8 verse/A8,+rim:offs chorus/B8 bridge/C8 chorus/B8,+choir "
        "outro/A8,rit=0.5",
    ),
    FormScore(
        name="up-the-stairs",
        says="4/4, a soul band; a semitone up for the end, which fades",
        bpm=106.0,
        tonic="F",
        fade_s=12.0,
        music={
            "A": Music("F Dm Bb C", "rock bass:push tine:offs"),
            "B": Music("F Am Bb C F Dm Bb C", "rock bass:push tine:offs", "65 0.7"),
            "P": Music("Gm Am Bb C", "rock bass:beats tine:beats", "67 0.4"),
            "C": Music("Bb F C Dm Bb F C C", "rock bass:push tine:pulse organ:hold jingle:arp", "70 0.4"),
        },
        form="intro/A4 verse/B8 pre_chorus/P4 chorus/C8,+choir verse/B8 pre_chorus/P4 chorus/C8,+choir "
        "interlude/A8,+twang:arp chorus/C8,key=1,+choir chorus/C8,key=1,+choir",
    ),
    FormScore(
        name="wolf-hour",
        says="4/4, heavy: the verse in half time, the refrain at full, a silent bar",
        bpm=152.0,
        tonic="C",
        minor=True,
        music={
            "A": Music("Cm Ab Bb Cm", "toms picked_bass:hold"),
            "B": Music("Cm Ab Eb Bb", "half picked_bass:hold wall:hold", "62 0.4"),
            "C": Music("Ab Bb Cm Eb", "drive picked_bass:pulse wall:chug haze:hold", "69 0.5"),
            "D": Music("Fm Fm Cm Cm", "tine:halves sub:hold", "65 0.2"),
        },
        form="intro/A8 verse/B16 chorus/C16 verse/B16,rest chorus/C16 break/D8 build/A8,grow=5,db=-5 "
        "chorus/C16 outro/A8",
    ),
    FormScore(
        name="no-clock",
        says="free time: a guitar, a voice, and a pad for the refrains",
        bpm=78.0,
        tonic="D",
        minor=True,
        free=True,
        drift=0.07,
        music={
            "A": Music("Dm C Bb A", "finger:arp", "62 0.4"),
            "B": Music("Bb F C Dm", "strum:halves pad:hold", "67 0.3"),
            "C": Music("Gm Dm Gm A", "grand:hold sub:hold"),
        },
        form="intro/A4,-voice verse/A8 chorus/B8 verse/A8 chorus/B8 interlude/C8 verse/A8 chorus/B8 "
        "outro/C4,rit=0.6",
    ),
    FormScore(
        name="round-table",
        says="4/4, one band on one row of chords: the tune alone tells, with pick-ups",
        bpm=116.0,
        tonic="G",
        music={
            "A": Music("G Em C D", "soft bass:halves tine:offs", "60 0.7"),
            "B": Music("G Em C D", "soft bass:halves tine:offs", "70 0.3"),
            "C": Music("G Em C D", "soft bass:halves tine:offs"),
        },
        form="intro/C8 verse/A8,pick chorus/B8,pick verse/A8,pick chorus/B8,pick interlude/C8 chorus/B8,pick "
        "outro/C4",
    ),
    FormScore(
        name="postcard",
        says="4/4, fifty seconds",
        bpm=124.0,
        tonic="F",
        music={
            "A": Music("F Bb C Bb", "rock bass:pulse twang:arp"),
            "B": Music("F Dm Bb C", "rock bass:pulse strum:pulse", "67 0.6"),
            "C": Music("Bb C F Dm", "drive bass:pulse guitar:pulse organ:hold", "71 0.4"),
        },
        form="intro/A4 verse/B8 chorus/C8 outro/A4,rit=0.7",
    ),
    FormScore(
        name="far-field",
        says="4/4, seven minutes: a slow build, a tempo step, a long end",
        bpm=92.0,
        tonic="B",
        minor=True,
        drift=0.006,
        music={
            "A": Music("Bm G D A", "twang:arp haze:hold"),
            "B": Music("Bm G D A", "soft bass:halves twang:arp", "66 0.3"),
            "C": Music("G A Bm D", "rock bass:pulse guitar:chug organ:hold", "71 0.4"),
            "D": Music("Em Bm Em F#m", "half picked_bass:hold wall:hold"),
            "E": Music("G D A Bm", "drive picked_bass:pulse wall:pulse haze:hold", "73 0.2"),
        },
        form="intro/A16 verse/B16 chorus/C8 verse/B16 chorus/C8 interlude/A8 solo/D16,+twang:arp break/A16 "
        "verse/B16 chorus/C16 other/E16,bpm=104 other/E16,+choir outro/A16,bpm=92,rit=0.6",
    ),
)
