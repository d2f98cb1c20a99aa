"""A small record for what is checked before a delivery: two songs of five seconds, versions, a picture."""

from __future__ import annotations

import shutil
import struct
import zlib
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

from arsis.deliver.order import Order
from arsis.deliver.preflight import prepare_order
from arsis.errors import ArsisError
from arsis.io.digest import sha256_of
from tests.releases import write

RATE_HZ = 44_100
SECONDS = 5.0

PLAN = """\
schema = 1
title = "{title}"
mix = "mixes/{stem}.wav"
mix_sha256 = "{sha256}"

[[version]]
name = "instrumental"
mix = "mixes/{stem}-instrumental.wav"

[[section]]
name = "all"
start_s = 0.000000
pass = "A"

[pass.A]
note = "kept in the copy"
chain = []

[finish]
limiter = {{ ceiling_dbtp = -0.5 }}
"""

# The codes are the examples of ISRC Agency Bulletin 2015/01, never assigned, and a neighbour of one; the
# number is the example of the check digit in the GS1 General Specifications (check-values, 8.4 and 8.5).
RELEASE = """\
schema = 1
title = "Low Tides"
artist = "The Lamps"
gtin = "6291041500213"
artwork = "artwork/front.png"

[[song]]
plan = "songs/first.toml"
isrc = "AA6Q72000047"

[[song.version]]
name = "instrumental"
isrc = "AA6Q72000048"

[[song]]
plan = "songs/second.toml"
isrc = "JMK401400212"
gap_s = 1.0
trim_db = -0.5
"""


@dataclass(frozen=True, slots=True)
class SmallRecord:
    """The record on disk, a test's own copy."""

    folder: Path

    def change(self, file: str, old: str, new: str) -> None:
        """Edits a document by hand; `old` has to be there."""
        path = self.folder / file
        text = path.read_text(encoding="utf-8")
        assert old in text
        path.write_text(text.replace(old, new, 1), encoding="utf-8")

    def profile(self, name: str, text: str) -> None:
        """A profile of the release's own."""
        path = self.folder / "profiles" / f"{name}.toml"
        path.parent.mkdir(exist_ok=True)
        path.write_text(f'schema = 1\nname = "{name}"\n{text}', encoding="utf-8")

    def sound(
        self, file: str, *, seconds: float = SECONDS, rate_hz: int = RATE_HZ, channels: int = 2
    ) -> None:
        """Another sound in a file's place; plans take its digest for the one that they have."""
        path = self.folder / file
        before = sha256_of(path) if path.exists() else None
        sound = np.random.default_rng(len(file)).uniform(-0.1, 0.1, (channels, round(seconds * rate_hz)))
        write(path, sound, rate_hz=rate_hz)
        for plan in (self.folder / "songs").glob("*.toml"):
            text = plan.read_text(encoding="utf-8")
            if before is not None and before in text:
                plan.write_text(text.replace(before, sha256_of(path)), encoding="utf-8")

    def order(self, profile: str = "hires") -> Order:
        return prepare_order(self.folder, profile, "2026-11-25")

    def fault(self, profile: str = "hires") -> str:
        """What is said of the one thing that is wrong: one line, without the folder's path."""
        with pytest.raises(ArsisError) as caught:
            self.order(profile)
        [line] = str(caught.value).splitlines()
        return line.replace(f"{self.folder}/", "")


def png(width: int, height: int) -> bytes:
    """A black picture (W3C PNG, third edition, clause 5)."""

    def chunk(name: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    rows = b"".join(b"\0" + bytes(width) for _ in range(height))
    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    body = chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(rows)) + chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + body


def make_record(folder: Path) -> SmallRecord:
    made = SmallRecord(folder)
    (folder / "songs").mkdir(parents=True)
    (folder / "artwork").mkdir()
    (folder / "artwork" / "front.png").write_bytes(png(1400, 1400))
    for stem, title in (("first", "First"), ("second", "Second")):
        made.sound(f"mixes/{stem}.wav")
        made.sound(f"mixes/{stem}-instrumental.wav")
        text = PLAN.format(title=title, stem=stem, sha256=sha256_of(folder / "mixes" / f"{stem}.wav"))
        (folder / "songs" / f"{stem}.toml").write_text(text, encoding="utf-8")
    (folder / "release.toml").write_text(RELEASE, encoding="utf-8")
    return made


@pytest.fixture(scope="session")
def pristine_tides(tmp_path_factory: pytest.TempPathFactory) -> SmallRecord:
    """Made once; nobody writes to it."""
    return make_record(tmp_path_factory.mktemp("record") / "low-tides")


@pytest.fixture
def tides(pristine_tides: SmallRecord, tmp_path: Path) -> SmallRecord:
    """A copy to work on."""
    folder = tmp_path / "low-tides"
    shutil.copytree(pristine_tides.folder, folder)
    return SmallRecord(folder)
