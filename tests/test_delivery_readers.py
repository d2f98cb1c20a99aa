"""Delivered files as others read them: ffprobe, ffmpeg's EBU R 128 meter, MediaInfo."""

from __future__ import annotations

import json
import re
import subprocess
from pathlib import Path
from typing import Any

import pytest

from arsis.deliver.manifest import SoundFile
from arsis.deliver.manifest_file import read_manifest

from . import tolerances
from .deliveries import Delivered

# A user's own, for the containers that none of the house's has.
OWN = {
    "packed": 'container = "flac"\nbits = "24"',
    "phone": 'container = "aac"\nkbps = 192\nrate_hz = 44100',
    "radio": 'container = "opus"\nkbps = 128\nrate_hz = 48000',
    "games": 'container = "vorbis"\nkbps = 192\nrate_hz = 44100',
}
PROFILES = ("hires", "cd", "stream", "vinyl", "preview", *OWN)
CODECS = {("wav", 16): "pcm_s16le", ("wav", 24): "pcm_s24le", ("mp3", None): "mp3", ("flac", 24): "flac"} | {
    (name, None): name for name in ("aac", "opus", "vorbis")
}


def output_of(*command: str | Path) -> str:
    done = subprocess.run([str(one) for one in command], check=True, capture_output=True, text=True)
    return done.stdout + done.stderr


def ffprobe(path: Path) -> dict[str, Any]:
    asked = ("ffprobe", "-v", "error", "-show_format", "-show_streams", "-of", "json", path)
    found: dict[str, Any] = json.loads(output_of(*asked))
    return found


def mediainfo(path: Path) -> dict[str, Any]:
    """Everything it says, by its own names."""
    tracks = json.loads(output_of("mediainfo", "--Full", "--Output=JSON", path))["media"]["track"]
    found: dict[str, Any] = {}
    for track in tracks:
        found |= track | track.get("extra", {})
    return found


@pytest.fixture(params=PROFILES)
def sounds(
    request: pytest.FixtureRequest,
    pristine_delivered: dict[str, Delivered],
) -> list[tuple[Path, SoundFile]]:
    release = pristine_delivered["hires"].release
    for name, text in OWN.items():
        path = release / f"profiles/{name}.toml"
        path.parent.mkdir(exist_ok=True)
        path.write_text(f'schema = 1\nname = "{name}"\n{text}\n', encoding="utf-8")
    folder = pristine_delivered[request.param].folder
    return [(folder / sound.path, sound) for sound in read_manifest(folder).sounds]


def test_ffprobe_agrees_on_format_and_tags(sounds: list[tuple[Path, SoundFile]]) -> None:
    for path, sound in sounds:
        found, facts = ffprobe(path), sound.facts
        stream = next(one for one in found["streams"] if one["codec_type"] == "audio")
        assert stream["codec_name"] == CODECS[(facts.container, facts.bits)]
        assert int(stream["sample_rate"]) == facts.rate_hz
        assert stream["channels"] == facts.channels
        if facts.bits is not None:
            assert stream["duration_ts"] == facts.frames
        # Ogg has its tags in the stream, all others in the file.
        tagged = found["format"].get("tags") or stream["tags"]
        tags = {name.lower(): text for name, text in tagged.items()}
        assert tags["title"] == sound.tags["title"]
        assert tags["artist"] == "The Lamps"
        assert tags["album"] == "Nocturnes"
        assert tags["date"] == "2026-11-25"
        assert tags.get("track", "none").partition("/")[0] == sound.tags.get("place", "none")
        if facts.container != "wav":  # ffprobe shows no barcode and no ISRC of a WAV file; MediaInfo does
            assert tags["barcode"] == "4006381333931"
            assert tags["tsrc" if facts.container == "mp3" else "isrc"] == sound.isrc


def test_ffmpeg_measures_the_same_loudness_and_peaks(sounds: list[tuple[Path, SoundFile]]) -> None:
    for path, sound in sounds:
        # Bounds of EBU Tech 3341 (2023), Table 1: ffmpeg reads fewer points between samples, so it reads low.
        meter = ("-af", "ebur128=peak=true", "-f", "null", "-")
        heard = output_of("ffmpeg", "-nostats", "-hide_banner", "-i", path, *meter)
        summary = heard[heard.rindex("Summary:") :]
        lufs = float(re.search(r"I:\s+(-?[\d.]+) LUFS", summary)[1])  # type: ignore[index]
        peak_dbtp = float(re.search(r"True peak:\s+Peak:\s+(-?[\d.]+) dBFS", summary)[1])  # type: ignore[index]
        assert sound.facts.integrated_lufs is not None
        assert sound.facts.true_peak_dbtp is not None
        assert abs(lufs - sound.facts.integrated_lufs) <= tolerances.SPEC_3341_LU
        over_db = peak_dbtp - sound.facts.true_peak_dbtp
        assert -tolerances.SPEC_3341_TP_LOW_DB <= over_db <= tolerances.SPEC_3341_TP_HIGH_DB
        if sound.ceiling_dbtp is not None and sound.facts.bits is not None:
            assert peak_dbtp <= sound.ceiling_dbtp + tolerances.CEILING_DB + tolerances.FFMPEG_DIGIT / 2


def test_mediainfo_reads_the_loudness_of_bext_and_the_isrc(sounds: list[tuple[Path, SoundFile]]) -> None:
    for path, sound in sounds:
        found, facts = mediainfo(path), sound.facts
        assert int(found["SamplingRate"]) == facts.rate_hz
        if sound.isrc is not None:
            assert found["ISRC"] == sound.isrc
        if facts.container == "wav":
            assert int(found["BitDepth"]) == facts.bits
            for name, value in (
                ("LoudnessValue", facts.integrated_lufs),
                ("LoudnessRange", facts.range_lu),
                ("MaxTruePeakLevel", facts.true_peak_dbtp),
                ("MaxMomentaryLoudness", facts.max_momentary_lufs),
                ("MaxShortTermLoudness", facts.max_short_term_lufs),
            ):
                assert found[name] == f"{value:.2f}", name


def test_mediainfo_reads_the_tags_of_every_container(sounds: list[tuple[Path, SoundFile]]) -> None:
    for path, sound in sounds:
        found = mediainfo(path)
        assert found["Title"] == found["Track"] == sound.tags["title"]
        assert found["Performer"] == found["Album_Performer"] == "The Lamps"
        assert found["Album"] == "Nocturnes"
        assert found["Recorded_Date"] == "2026-11-25"
        assert found["BARCODE"] == "4006381333931"
        assert found.get("Track_Position") == sound.tags.get("place")


def test_gains_are_those_of_the_loudness_that_was_measured(sounds: list[tuple[Path, SoundFile]]) -> None:
    """ReplayGain 2.0 to -18 LUFS in hundredths of a dB, R128 in Opus to -23 in 256ths: check values, 8.8."""
    for path, sound in sounds:
        found = {name.lower(): text for name, text in mediainfo(path).items()}
        lufs = sound.facts.integrated_lufs
        assert lufs is not None
        if sound.facts.container == "opus":
            assert int(found["r128_track_gain"]) == round(256.0 * (-23.0 - lufs))
            assert "replaygain_track_gain" not in found
            continue
        # MediaInfo knows the tag in Vorbis comments and calls it by a name of its own.
        gain = found.get("replaygain_track_gain") or found["replaygain_gain"]
        assert float(gain.removesuffix(" dB")) == pytest.approx(-18.0 - lufs, abs=tolerances.HUNDREDTHS)
