"""A delivery as data, for its paperwork: three songs with figures that are made up but could be true."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, replace

from arsis.deliver.codec_check import CodecChecked, Over, SectionChecked
from arsis.deliver.codec_ear import BandChanges
from arsis.deliver.loudness_advice import Advice
from arsis.deliver.manifest import Manifest, MixUsed, SoundFacts, SoundFile
from arsis.deliver.paperwork.extra import Extra, KeptAs, MixHeard, SongExtra
from arsis.plan.codec import parse_profile, parse_release, parse_song
from arsis.plan.model import Release, Song
from arsis.plan.profile import Profile
from arsis.render.took import Took

RATE_HZ = 44_100
CD_FRAME = 588

LOW_WATER = """\
schema = 1
title = "Low Water"
mix = "mixes/low-water.wav"

[[version]]
name = "instrumental"
mix = "mixes/low-water-instrumental.wav"

[[section]]
name = "verse 1"
kind = "verse"
start_s = 0.000000
pass = "A"

[[section]]
name = "refrain 1"
kind = "chorus"
start_s = 38.095238
pass = "B"
ride_db = 0.4
join = { fade_ms = 12.0, lead_ms = 8.0 }

[[section]]
name = "bridge"
kind = "bridge"
start_s = 84.250000
pass = "C"

[[section]]
name = "refrain 2"
kind = "chorus"
start_s = 106.916667
pass = "B"
ride_db = -0.125

[pass.A]
note = "everything else: left alone"
chain = []

[pass.B]
note = "refrains: a little more weight and level"
chain = [
  { kind = "gain", gain_db = 0.6 },
  { kind = "low_shelf", freq_hz = 95.0, gain_db = 0.7, q = 0.7 },
  { kind = "bell", freq_hz = 3200.0, gain_db = -0.5, q = 1.1, channel = "mid", phase = "linear" },
  { kind = "compressor", threshold_dbfs = -18.0, ratio = 1.4, release_ms = 180.0, mix = 0.5 },
]

[pass.C]
note = "bridge through the outboard chain: tube stage hot, transformer in, 1.5 dB at 12 kHz by hand"
print = "prints/low-water-bridge.wav"

[[ride]]
time_s = 100.0
gain_db = 0.0
[[ride]]
time_s = 104.0
gain_db = 0.5

[finish]
chain = [{ kind = "high_pass", freq_hz = 22.0, order = 2 }]
gain_db = 2.5
limiter = { ceiling_dbtp = -0.1, lookahead_ms = 3.0, release_ms = 120.0, most_db = 1.5 }
"""

NINE_LAMPS = """\
schema = 1
title = "Nine Lamps, “Ögurvík” & the 2nd Årstider"
mix = "mixes/nine-lamps.wav"

[[section]]
name = "all"
start_s = 0.000000
pass = "A"

[pass.A]
chain = []
"""

EBB_CLOCK = """\
schema = 1
title = "Ebb Clock"
mix = "mixes/ebb-clock.wav"

[[section]]
name = "all"
start_s = 0.000000
pass = "A"

[pass.A]
chain = [{ kind = "dynamic_bell", freq_hz = 6800.0, range_db = -3.0, threshold_dbfs = -34.0 }]

[finish]
chain = []
gain_db = 1.0
limiter = { ceiling_dbtp = -1.0 }
"""

RELEASE = """\
schema = 1
title = "Tide Tables"
artist = "Oddskerry"
gtin = "4006381333931"
catalogue_number = "OSK 014"
date = "2026"

[[song]]
plan = "songs/low-water.toml"
isrc = "AA-6Q7-20-00047"
gap_s = 2.0

[[song]]
plan = "songs/nine-lamps.toml"
isrc = "AA-6Q7-20-00048"
gap_s = 1.5
trim_db = -0.5
fade_out_s = 6.0

[[song]]
plan = "songs/ebb-clock.toml"
isrc = "AA-6Q7-20-00049"
artist = "Oddskerry with Marin Vole"
gap_s = 0.0
overlap_s = 3.0
"""

CD = """\
schema = 1
name = "cd"
about = "16-bit 44.1 kHz WAV, dithered, cut on CD frames, with the whole record as one file"
container = "wav"
rate_hz = 44100
bits = "16"
ceiling_dbtp = -0.3
cut_frames = 588
assembly = true
versions = true

[[loudness]]
of = "record"
target_lufs = -14.0
source = "AES TD1008 (2021)"
"""


@dataclass(frozen=True, slots=True)
class PaperDelivery:
    """All that the paperwork of a delivery is made from."""

    manifest: Manifest
    songs: tuple[Song, ...]
    release: Release
    profile: Profile
    extra: Extra


def sound_facts(frames: int, loud_lufs: float, **changes: object) -> SoundFacts:
    """The facts of a 16-bit file of this length."""
    facts = SoundFacts(
        container="wav",
        rate_hz=RATE_HZ,
        channels=2,
        bits=16,
        is_float=False,
        used_bits=16,
        frames=frames,
        sound_sha256=digest(f"sound {frames}"),
        integrated_lufs=loud_lufs,
        range_lu=6.25,
        max_momentary_lufs=loud_lufs + 4.5,
        max_short_term_lufs=loud_lufs + 2.75,
        true_peak_dbtp=-0.304,
        sample_peak_dbfs=-0.52,
        head_silence_frames=0,
        tail_silence_frames=0,
    )
    return replace(facts, **changes)  # type: ignore[arg-type]


def digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()


def song_file(
    place: int, title: str, start: int, frames: int, gap: int, loud_lufs: float, **changes: object
) -> SoundFile:
    """A song's entry. frames: with the gap at its end."""
    path = f"{place:02d} {title}.wav"
    made = SoundFile(
        path=path,
        role="song",
        sha256=digest(path),
        bytes=44 + 4 * frames,
        facts=sound_facts(frames, loud_lufs, tail_silence_frames=gap),
        place=place,
        title=title,
        isrc=f"AA6Q720000{46 + place}",
        start_frame=start,
        gap_frames=gap,
        ceiling_dbtp=-0.3,
        tags={"title": title},
    )
    return replace(made, **changes)  # type: ignore[arg-type]


def paper_delivery() -> PaperDelivery:
    """A disc of three songs: two seconds of silence, then a segue; one version; figures for everything."""
    lengths = [12_600 * CD_FRAME, 15_150 * CD_FRAME, 9_903 * CD_FRAME]  # with the gaps
    titles = ["Low Water", "Nine Lamps, “Ögurvík” & the 2nd Årstider", "Ebb Clock"]
    starts = [0, lengths[0], lengths[0] + lengths[1]]
    gaps = [2 * RATE_HZ + 100, 0, 0]
    sounds = [
        song_file(i + 1, titles[i], starts[i], lengths[i], gaps[i], loud_lufs)
        for i, loud_lufs in enumerate((-11.04, -13.61, -12.28))
    ]
    sounds[1] = replace(sounds[1], path=sounds[1].path.replace("“", "").replace("”", ""), ceiling_dbtp=None)
    version = replace(
        song_file(1, "Low Water", 0, lengths[0] - gaps[0], 0, -12.9),
        path="01 Low Water (instrumental).wav",
        sha256=digest("instrumental"),
        role="version",
        version="instrumental",
        isrc="AA6Q72000051",
    )
    whole = sum(lengths)
    record = SoundFile(
        path="00 Tide Tables.wav",
        role="assembly",
        sha256=digest("record"),
        bytes=44 + 4 * whole,
        facts=sound_facts(whole, -12.2),
        songs=(1, 2, 3),
        title="Tide Tables",
        ceiling_dbtp=-0.3,
    )
    names = ("low-water", "low-water-instrumental", "nine-lamps", "ebb-clock")
    manifest = Manifest(
        arsis="0.1.0",
        date="2026-11-25",
        title="Tide Tables",
        artist="Oddskerry",
        gtin="4006381333931",
        profile="cd",
        release_path="../..",
        rate_hz=RATE_HZ,
        record_lufs=-12.2,
        plans=("plans/01-low-water.toml", "plans/02-nine-lamps.toml", "plans/03-ebb-clock.toml"),
        mixes=tuple(
            MixUsed(path=f"mixes/{name}.wav", sha256=digest(name), frames=7_400_000, rate_hz=48_000)
            for name in names
        ),
        sounds=(record, *sounds, version),
        libraries={"soxr": "0.5.0"},
    )
    songs = tuple(parse_song(text) for text in (LOW_WATER, NINE_LAMPS, EBB_CLOCK))
    return PaperDelivery(manifest, songs, parse_release(RELEASE), parse_profile(CD), paper_extra())


def paper_extra() -> Extra:
    """Something of everything that may be known besides."""
    took = (
        Took(0.0, 0.0, 0.0, 0.0),
        Took(0.04, 1.32, 0.02, 51.2),
        Took(0.0, 0.0, 0.0, 84.25),
        Took(0.11, 2.04, 0.05, 131.9),
    )
    mix = MixHeard(
        rate_hz=48_000,
        channels=2,
        bits=24,
        is_float=False,
        used_bits=24,
        integrated_lufs=-14.3,
        range_lu=6.9,
        true_peak_dbtp=-2.1,
        sample_peak_dbfs=-2.4,
    )
    return Extra(
        songs={
            1: SongExtra(
                revision=KeptAs(number=3, note="bridge from the second outboard print"),
                mix=mix,
                took=took,
                whole=Took(0.05, 2.04, 0.02, 131.9),
                codecs=(codec_checked(0.31, overs=4), replace(codec_checked(-0.2), codec="mp3", kbps=320.0)),
            ),
            2: SongExtra(
                mix=replace(mix, used_bits=16, true_peak_dbtp=0.4, sample_peak_dbfs=0.0),
                revision=KeptAs(number=1, changed=True),
                codecs=(codec_checked(-0.9),),
            ),
        },
        loudness=(
            Advice(
                "the whole record: −12.2 LUFS, 1.8 LU above −14.0 LUFS",
                "AES TD1008 (2021), table 1",
                None,
                -1.8,
            ),
        ),
        untried=("opus at 128 kbit/s was not tried: the coder is not installed",),
        warnings=("the limiter takes up to 2.0 dB in Low Water, 0.5 dB past its most_db of 1.5",),
    )


def codec_checked(true_peak_dbtp: float, overs: int = 0) -> CodecChecked:
    """What a coder made of a song."""
    bands = BandChanges(0.0, 0.0, -0.01, -0.03, -0.42)
    return CodecChecked(
        codec="aac",
        kbps=256.0,
        coded_kbps=251.2,
        rate_hz=RATE_HZ,
        most_dbtp=0.0,
        holds=not overs,
        source_true_peak_dbtp=-0.304,
        true_peak_dbtp=true_peak_dbtp,
        true_peak_at_s=131.9,
        overs_full_scale=overs,
        overs=overs,
        worst=(Over(12.5, 12.52, 0.02, "verse 1"), Over(131.9, 131.92, true_peak_dbtp, "refrain 2"))[:overs],
        source_integrated_lufs=-11.04,
        integrated_lufs=-11.06,
        loudness_change_lu=-0.02,
        bands_change_db=bands,
        cut_above_hz=18_500.0,
        sections=(SectionChecked("refrain 2", 90.0, 150.0, -0.304, 0.02, 1, -0.02, bands),),
        libraries={"av": "14.0.0"},
    )
