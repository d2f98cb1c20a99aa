"""A small release: one song of seven seconds, two passes, a print from outboard; made once a session."""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import soundfile

from arsis.audio import Block
from arsis.io.digest import sha256_of

RATE_HZ = 44_100
SECONDS = 7.0
LATE_FRAMES = 37  # the converters of the outboard chain

PLAN = """\
schema = 1
title = "Small Hours"
mix = "mixes/small-hours.wav"
mix_sha256 = "{sha256}"

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

[[section]]
name = "bridge"
kind = "bridge"
start_s = 4.000000
pass = "C"

[[section]]
name = "verse 2"
kind = "verse"
start_s = 5.500000
pass = "A"

[pass.A]
note = "left alone"
chain = []

[pass.B]
note = "more weight"
chain = [
  {{ kind = "gain", gain_db = 0.6 }},
  {{ kind = "low_shelf", freq_hz = 95.0, gain_db = 0.7, q = 0.7 }},
]

[pass.C]
note = "through the outboard chain"
print = "prints/small-hours-bridge.wav"

[finish]
chain = []
gain_db = 0.0
limiter = {{ ceiling_dbtp = -1.0, lookahead_ms = 3.0, release_ms = 120.0, most_db = 1.5 }}
"""

UNTOUCHED = """\
schema = 1
title = "Small Hours"
mix = "mixes/small-hours.wav"

[[section]]
name = "all"
start_s = 0.000000
pass = "A"

[pass.A]
chain = []
"""


@dataclass(frozen=True, slots=True)
class SmallRelease:
    """The release on disk, a test's own copy."""

    folder: Path

    @property
    def plan(self) -> Path:
        return self.folder / "songs" / "small-hours.toml"

    @property
    def mix(self) -> Path:
        return self.folder / "mixes" / "small-hours.wav"

    @property
    def outboard(self) -> Path:
        return self.folder / "prints" / "small-hours-bridge.wav"

    @property
    def default_print(self) -> Path:
        return self.folder / "prints" / "small-hours.wav"

    def change(self, old: str, new: str) -> None:
        """Edits the plan by hand; `old` has to be there."""
        text = self.plan.read_text(encoding="utf-8")
        assert old in text
        self.plan.write_text(text.replace(old, new), encoding="utf-8")

    def set_plan(self, text: str) -> None:
        self.plan.write_text(text, encoding="utf-8")


@cache
def music(seconds: float = SECONDS, seed: int = 5) -> Block:
    """Uneven strokes of changing notes with a breath of noise, louder in the refrain; whole 24-bit words.

    Made once a process; nobody can write to it.
    """
    rng = np.random.default_rng(seed)
    t = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    sound = 0.01 * rng.standard_normal((2, t.size))
    for start_s in np.cumsum(rng.uniform(0.08, 0.32, size=round(seconds / 0.2) + 8)):
        since = t - start_s
        stroke = np.where(since >= 0.0, np.exp(-np.maximum(since, 0.0) / 0.15), 0.0)
        freq_hz, side = rng.choice((65.4, 98.0, 146.8, 196.0, 293.7, 440.0, 1_046.5)), rng.uniform(-0.4, 0.4)
        body = np.sin(2 * np.pi * freq_hz * since) + 0.3 * rng.standard_normal(t.size)
        sound += stroke * body * np.array([[1.0 + side], [1.0 - side]])
    level = np.where((t >= 2.0) & (t < 4.0), 0.18, 0.14)
    words = np.round(level * sound * 2.0**23) / 2.0**23
    words.flags.writeable = False
    return words


def write(path: Path, sound: Block, subtype: str = "PCM_24", rate_hz: int = RATE_HZ) -> Path:
    """A sound file by libsndfile: another writer than arsis's own."""
    path.parent.mkdir(parents=True, exist_ok=True)
    soundfile.write(path, sound.T, rate_hz, subtype=subtype)
    return path


def make_release(folder: Path) -> SmallRelease:
    made = SmallRelease(folder)
    sound = music()
    write(made.mix, sound)
    late = np.concatenate([np.zeros((2, LATE_FRAMES)), sound], axis=1)
    write(made.outboard, 1.05 * late)
    made.plan.parent.mkdir(parents=True)
    made.set_plan(PLAN.format(sha256=sha256_of(made.mix)))
    (folder / "release.toml").write_text(
        'schema = 1\ntitle = "Nocturnes"\nartist = "The Lamps"\n\n'
        '[[song]]\nplan = "songs/small-hours.toml"\n',
        encoding="utf-8",
    )
    return made


@pytest.fixture(scope="session")
def pristine_release(tmp_path_factory: pytest.TempPathFactory) -> SmallRelease:
    """Made once; nobody writes to it."""
    return make_release(tmp_path_factory.mktemp("release") / "nocturnes")


@pytest.fixture
def release(pristine_release: SmallRelease, tmp_path: Path) -> SmallRelease:
    """A copy to work on."""
    folder = tmp_path / "nocturnes"
    shutil.copytree(pristine_release.folder, folder, ignore=shutil.ignore_patterns(".arsis"))
    return SmallRelease(folder)
