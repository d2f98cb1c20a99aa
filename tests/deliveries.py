"""A small release with a version, a gap, an overlap and a picture; delivered once a session for a profile."""

from __future__ import annotations

import shutil
import struct
import zlib
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from arsis.cli.main import main

from .releases import RATE_HZ, music, write

# Never assigned: the registration agency's own dummies (check-values, section 8.4), and neighbours of them.
RELEASE = """\
schema = 1
title = "Nocturnes"
artist = "The Lamps"
gtin = "4006381333931"
date = "2026-11-25"
copyright = "2026 The Lamps"
artwork = "art/front.png"

[[song]]
plan = "songs/small-hours.toml"
isrc = "AA-6Q7-20-00047"

[[song.version]]
name = "instrumental"
isrc = "AA6Q72000048"

[[song]]
plan = "songs/first-tram.toml"
isrc = "AA6Q72000049"
gap_s = 1.5
trim_db = -0.5
fade_out_s = 1.0

[[song]]
plan = "songs/milk-round.toml"
isrc = "AA6Q72000050"
overlap_s = 0.8
fade_in_s = 0.8
"""

PLAN = """\
schema = 1
title = "{title}"
mix = "mixes/{stem}.wav"
{version}
[[section]]
name = "verse 1"
kind = "verse"
start_s = 0.000000
pass = "A"

[[section]]
name = "refrain 1"
kind = "chorus"
start_s = 2.000000
pass = "B"
ride_db = 0.4

[pass.A]
note = "left alone"
chain = []

[pass.B]
note = "more weight"
chain = [{{ kind = "low_shelf", freq_hz = 95.0, gain_db = 0.7, q = 0.7 }}]

[finish]
gain_db = {gain_db}
limiter = {{ ceiling_dbtp = -1.0, lookahead_ms = 3.0, release_ms = 120.0, most_db = 6.0 }}
"""
VERSION = """
[[version]]
name = "instrumental"
mix = "mixes/{stem}-instrumental.wav"
"""
SONGS = (
    ("small-hours", "Small Hours", 6.5, 6.0),
    ("first-tram", "First Tram", 5.5, 0.0),
    ("milk-round", "Milk Round", 5.0, 0.0),
)


@dataclass(frozen=True, slots=True)
class Delivered:
    """A release with a delivery of it, a test's own copy."""

    release: Path
    profile: str

    @property
    def folder(self) -> Path:
        return self.release / "deliveries" / self.profile


def make_release(folder: Path) -> Path:
    for number, (stem, title, seconds, gain_db) in enumerate(SONGS):
        sound = music(seconds, seed=20 + number)
        write(folder / f"mixes/{stem}.wav", sound)
        version = ""
        if number == 0:
            write(folder / f"mixes/{stem}-instrumental.wav", np.round(0.6 * sound * 2.0**23) / 2.0**23)
            version = VERSION.format(stem=stem)
        plan = folder / f"songs/{stem}.toml"
        plan.parent.mkdir(exist_ok=True)
        plan.write_text(
            PLAN.format(stem=stem, title=title, gain_db=gain_db, version=version), encoding="utf-8"
        )
    (folder / "art").mkdir()
    (folder / "art/front.png").write_bytes(png(16))
    (folder / "release.toml").write_text(RELEASE, encoding="utf-8")
    return folder


def png(side: int, shade: int = 90) -> bytes:
    """A grey square (W3C, "PNG Specification", 2003)."""

    def chunk(kind: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))

    head = struct.pack(">IIBBBBB", side, side, 8, 0, 0, 0, 0)
    rows = (b"\0" + bytes([shade]) * side) * side
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(rows))
        + chunk(b"IEND", b"")
    )


def deliver(release: Path, profile: str, *more: str) -> Delivered:
    result = CliRunner().invoke(main, ["deliver", str(release), "--profile", profile, "--jobs", "1", *more])
    assert result.exit_code in (0, 3), result.output
    return Delivered(release, profile)


@pytest.fixture(scope="session")
def pristine_delivered(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Delivered]:
    """By profile; nobody writes to them. All are of one release, each made when it is first asked for."""
    release = make_release(tmp_path_factory.mktemp("delivered") / "nocturnes")

    class Made(dict[str, Delivered]):
        def __missing__(self, profile: str) -> Delivered:
            self[profile] = deliver(release, profile)
            return self[profile]

    return Made()


@pytest.fixture
def delivered(pristine_delivered: dict[str, Delivered], tmp_path: Path) -> Delivered:
    """A copy of the disc's delivery to work on, with its release."""
    return copy_of(pristine_delivered["cd"], tmp_path)


def copy_of(made: Delivered, tmp_path: Path) -> Delivered:
    release = tmp_path / made.release.name
    others = shutil.ignore_patterns("deliveries")
    shutil.copytree(made.release, release, ignore=others)
    shutil.copytree(made.folder, release / "deliveries" / made.profile)
    return Delivered(release, made.profile)


assert RATE_HZ == 44_100
