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
from .deliveries import Delivered, pristine_delivered  # noqa: F401

PROFILES = ("hires", "cd", "stream", "vinyl", "preview")
CODECS = {("wav", 16): "pcm_s16le", ("wav", 24): "pcm_s24le", ("mp3", None): "mp3"}


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
    pristine_delivered: dict[str, Delivered],  # noqa: F811
) -> list[tuple[Path, SoundFile]]:
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
        tags = {name.lower(): text for name, text in found["format"].get("tags", {}).items()}
        assert tags["title"] == sound.tags["title"]
        assert tags["artist"] == "The Lamps"
        assert tags["album"] == "Nocturnes"


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
