"""`arsis print --version` and `deliver`, of a version that passes the ceiling which the main print keeps."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import soundfile

from arsis.audio import Block

from .meter16 import true_peak_dbtp
from .no_pdf import plain_environment
from .releases import RATE_HZ, write
from .signals import noise
from .test_cli_faults import process
from .tolerances import CEILING_DB, LAW_10_DBFS
from .versions import null_dbfs

CEILING_DBTP = -1.0
PLAN = """\
schema = 1
title = "Counterweight"
mix = "mixes/counterweight.wav"

[[version]]
name = "instrumental"
mix = "mixes/counterweight-instrumental.wav"

[[section]]
name = "all"
start_s = 0.0
pass = "A"

[pass.A]
chain = [{ kind = "compressor", threshold_dbfs = -20.0, ratio = 1.5 }]

[finish]
gain_db = 8.0
limiter = { ceiling_dbtp = -1.0, lookahead_ms = 3.0, release_ms = 120.0, most_db = 24.0 }
"""
SHARED = (
    PLAN.replace("[finish]\n", "[finish]\nshare_limiter = true\n")
    + '\n[[version]]\nname = "a cappella"\nmix = "mixes/counterweight-acappella.wav"\n'
)
RELEASE = """\
schema = 1
title = "Counterweight"
artist = "The Lamps"

[[song]]
plan = "songs/counterweight.toml"
"""


@pytest.fixture
def plan(tmp_path: Path) -> Path:
    """Of a song whose mixes sum, hard into its limiter: where the voice takes away from the band's peaks, the
    band alone passes the ceiling."""
    band, voice = noise(4 * RATE_HZ, seed=3, rms=0.1), noise(4 * RATE_HZ, seed=4, rms=0.06)
    voice[:, : 2 * RATE_HZ] = 0.0
    band, voice = (np.round(one * 2.0**23) / 2.0**23 for one in (band, voice))
    folder = tmp_path / "counterweight"
    for name, sound in (("", band + voice), ("-instrumental", band), ("-acappella", voice)):
        write(folder / f"mixes/counterweight{name}.wav", sound)
    (folder / "release.toml").write_text(RELEASE, encoding="utf-8")
    path = folder / "songs/counterweight.toml"
    path.parent.mkdir()
    path.write_text(PLAN, encoding="utf-8")
    return path


def read(path: Path) -> Block:
    """By libsndfile."""
    return np.ascontiguousarray(soundfile.read(path)[0].T)


def printed(plan: Path, status: int, *words: str) -> tuple[Block, dict, str]:
    """The print in floats, which have no dither, what is said of it, and besides."""
    done = process("print", plan, *words, "--bits", "32f", "--json")
    assert done.returncode == status, done.stderr
    said = json.loads(done.stdout)
    return read(Path(said["out"])), said, done.stderr


def test_where_a_version_has_to_keep_the_ceiling_by_itself_it_is_told(plan: Path) -> None:
    main, facts, _ = printed(plan, 0)
    band, said, told = printed(plan, 3, "--version", "instrumental")
    assert all(true_peak_dbtp(sound) <= CEILING_DBTP + CEILING_DB for sound in (main, band))
    assert facts["took"]["max_db"] > 1.0  # the limiter is at work
    assert Path(said["out"]) == plan.parent.parent / "prints/counterweight-instrumental.wav"
    assert (said["version"]["follows"], said["version"]["offset_frames"]) == (True, 0.0)
    assert said["version"]["guard_max_db"] > 0.3  # more than a second reading of the same peaks takes
    assert said["version"]["guard_max_at_s"] > 2.0  # where the voice is
    assert told.startswith("warning: under the main version's gain the instrumental passes the ceiling")
    assert "the versions do not sum (share_limiter in the finish lets one limiter hear both)" in told
    assert told.strip() == f"warning: {said['warnings'][0]}"


def test_with_one_limiter_for_all_the_prints_sum(plan: Path) -> None:
    plan.write_text(SHARED, encoding="utf-8")
    names = ((), ("--version", "instrumental"), ("--version", "a cappella"))
    made = [printed(plan, 0, *name) for name in names]
    assert made[0][1]["took"]["max_db"] > 1.0  # the limiter is at work
    assert [said["version"]["guard_max_db"] for _, said, _ in made[1:]] == [0.0, 0.0]
    assert all(told == "" for *_, told in made)
    sounds = [sound for sound, *_ in made]
    assert all(true_peak_dbtp(sound) <= CEILING_DBTP + CEILING_DB for sound in sounds)
    assert null_dbfs(*sounds) < LAW_10_DBFS


def test_it_is_said_how_a_version_lies(plan: Path) -> None:
    done = process("print", plan, "--version", "instrumental")
    assert done.returncode == 3, done.stderr
    assert "instrumental: follows the main version; its mix lies at" in done.stdout


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--version", "tv"], "has no version 'tv'; it has instrumental"),
        (["--version", "instrumental", "--pass", "A"], "give --pass or --version"),
    ],
)
def test_versions_that_cannot_be_printed(words: list[str], said: str, plan: Path) -> None:
    done = process("print", plan, *words)
    assert (done.returncode, done.stdout) == (2, "")
    assert said in done.stderr
    assert not (plan.parent.parent / "prints").exists()


def test_a_delivery_tells_it_too(plan: Path) -> None:
    release = plan.parent.parent
    command = [sys.executable, "-m", "arsis", "deliver", str(release), "--profile", "hires", "--jobs", "1"]
    environment = plain_environment(release.parent)
    done = subprocess.run(command, capture_output=True, text=True, env=environment, check=False, timeout=120)
    assert done.returncode == 3, done.stderr
    [warning] = [line for line in done.stderr.splitlines() if line.startswith("warning: ")]
    assert "01 Counterweight (instrumental).wav: under the main version's gain" in warning
    assert "the versions do not sum" in warning
    sounds = sorted((release / "deliveries/hires").glob("*.wav"))
    assert len(sounds) == 2
    assert all(true_peak_dbtp(read(path)) <= CEILING_DBTP + CEILING_DB for path in sounds)
