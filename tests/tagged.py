"""Tags, pictures and small files to be tagged, and what independent readers say of them."""

from __future__ import annotations

import json
import struct
import subprocess
import zlib
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import numpy as np

from arsis.deliver.tagging import Artwork, Gains, Tags, artwork_of
from arsis.io.write import write_sound
from tests.signals import noise
from tests.sound_files import ffmpeg, words

RATE_HZ = 48_000
FRAMES = 12_000
ENDS = {"flac": "flac", "mp3": "mp3", "aac": "m4a", "opus": "opus", "vorbis": "ogg"}
_CODERS = {"flac": "flac", "mp3": "libmp3lame", "aac": "aac", "opus": "libopus", "vorbis": "libvorbis"}


def png(width: int = 3, height: int = 2) -> bytes:
    """A black picture by the form of the W3C's "PNG Specification" (2003)."""

    def part(name: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    rows = zlib.compress(bytes((1 + 3 * width) * height))
    return b"\x89PNG\r\n\x1a\n" + part(b"IHDR", head) + part(b"IDAT", rows) + part(b"IEND", b"")


@cache
def jpeg() -> bytes:
    """The same picture as FFmpeg writes it."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "a.png"
        path.write_bytes(png(16, 8))
        return bytes(ffmpeg("-i", path, "-f", "mjpeg", "-"))


def picture() -> Artwork:
    return artwork_of(png(), "a.png")


# The ISRC and the GTIN are the published dummies: AA6Q7… was given to nobody (ISRC Agency Bulletin 2015/01),
# 4006381333931 is the usual example of an EAN-13.
FULL = Tags(
    title="Låw Water ☂",
    artist="The Tides",
    album="Tide Tables",
    album_artist="Several",
    place=3,
    total=12,
    isrc="AA6Q72000047",
    gtin="4006381333931",
    date="2026-11",
    made="2026-11-25",
    version="instrumental",
    catalogue_number="CAT 1",
    copyright="2026 The Tides",
    artwork=picture(),
    gains=Gains(track_lufs=-9.3, track_peak_dbtp=-1.0, album_lufs=-9.8, album_peak_dbtp=-0.9),
)


@cache
def untagged(container: str) -> bytes:
    """A quarter of a second of noise in this container, as FFmpeg codes it, with no tags of its own."""
    with TemporaryDirectory() as folder:
        path, coded = Path(folder) / "a.wav", Path(folder) / f"a.{ENDS[container]}"
        with write_sound(path, RATE_HZ, 2, "pcm_s16") as sound:
            sound.write(words(FRAMES, 16))
        ffmpeg("-i", path, "-c:a", _CODERS[container], coded)
        return coded.read_bytes()


def loud_noise(frames: int = 4 * RATE_HZ) -> np.ndarray:
    """Four seconds at about −17 dBFS, as words of 24 bits."""
    return np.round(noise(frames, 2, rms=0.15).clip(-1, 1) * (2**23 - 1)).astype(np.int32)


def mediainfo(path: Path) -> dict[str, Any]:
    """What MediaInfo says of the file (General) and of its sound, together, extras included."""
    asked = ["mediainfo", "--Output=JSON", str(path)]
    tracks = json.loads(subprocess.run(asked, check=True, capture_output=True).stdout)["media"]["track"]
    said: dict[str, Any] = {}
    for track in tracks:
        if track["@type"] in ("General", "Audio"):
            said |= track | track.get("extra", {})
    return said


def ffprobe(path: Path) -> dict[str, Any]:
    """What ffprobe says of the file, its streams and its chapters."""
    asked = ["ffprobe", "-v", "error", "-show_format", "-show_streams", "-show_chapters", "-of", "json"]
    found = subprocess.run([*asked, str(path)], check=True, capture_output=True)
    assert found.stderr == b""
    said: dict[str, Any] = json.loads(found.stdout)
    return said


def probed_tags(said: Mapping[str, Any]) -> dict[str, str]:
    """The tags of the file and of its sound, names in small letters."""
    tags = said["streams"][0].get("tags", {}) | said["format"].get("tags", {})
    return {name.lower(): text for name, text in tags.items()}


def decoded(path: Path) -> bytes:
    return bytes(ffmpeg("-i", path, "-map", "0:a", "-f", "f32le", "-"))
