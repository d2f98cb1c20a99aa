"""`print`: the same bytes again, the words asked for, and mixes that stay as they are (laws 1, 8, 9)."""

from __future__ import annotations

import hashlib
import json
import os
import subprocess

import numpy as np
import pytest
import soundfile

from arsis.workflow.places import open_plan
from arsis.workflow.print import print_plan, print_song
from tests.releases import UNTOUCHED, SmallRelease, music, write
from tests.test_cli_faults import process, snapshot

FORMS = [
    ("wav", None, None),
    ("wav", 44_100, "16"),
    ("wav", 48_000, "16"),
    ("flac", 96_000, "24"),
    ("aiff", None, "16"),
]
SUBTYPES = {"16": "PCM_16", "24": "PCM_24", None: "PCM_24"}


@pytest.mark.parametrize(("form", "rate_hz", "bits"), FORMS)
def test_the_same_again_and_as_asked(
    form: str, rate_hz: int | None, bits: str | None, release: SmallRelease
) -> None:
    out = [release.folder / f"{i}.{form}" for i in range(3)]
    made = [print_song(release.plan, out=path, rate_hz=rate_hz, bits=bits) for path in out[:2]]
    options = [*(("--rate", rate_hz) if rate_hz else ()), *(("--bits", bits) if bits else ())]
    assert process("print", release.plan, "--out", out[2], *options).returncode == 0
    whole = [path.read_bytes() for path in out]
    assert whole[0] == whole[1] == whole[2]
    assert made[0].sha256 == hashlib.sha256(whole[0]).hexdigest()
    info = soundfile.info(out[0])
    assert (info.samplerate, info.subtype, info.channels) == (rate_hz or 44_100, SUBTYPES[bits], 2)
    assert info.frames == made[0].frames


def test_another_program_reads_rate_and_word(release: SmallRelease) -> None:
    """FFmpeg's reader."""
    out = release.folder / "song.wav"
    print_song(release.plan, out=out, rate_hz=44_100, bits="16")
    command = ["ffprobe", "-v", "error", "-show_streams", "-of", "json", str(out)]
    stream = json.loads(subprocess.run(command, capture_output=True, check=True, text=True).stdout)[
        "streams"
    ][0]
    assert (stream["sample_rate"], stream["bits_per_sample"], stream["channels"]) == ("44100", 16, 2)
    assert stream["codec_name"] == "pcm_s16le"


@pytest.mark.parametrize("subtype", ["PCM_16", "PCM_24", "PCM_32", "FLOAT"])
@pytest.mark.parametrize("form", ["wav", "aiff"])
def test_a_plan_that_does_nothing_changes_nothing(subtype: str, form: str, release: SmallRelease) -> None:
    write(release.mix, music(), subtype)
    release.set_plan(UNTOUCHED)
    out = release.folder / f"out.{form}"
    print_song(release.plan, out=out)
    kind = "float32" if subtype == "FLOAT" else "int32"
    np.testing.assert_array_equal(
        soundfile.read(out, dtype=kind)[0], soundfile.read(release.mix, dtype=kind)[0], strict=True
    )


def test_a_pass_alone_is_that_pass_alone(release: SmallRelease) -> None:
    print_song(release.plan, pass_name="A")
    alone = release.folder / "prints" / "small-hours-pass-A.wav"
    np.testing.assert_array_equal(
        soundfile.read(alone, dtype="int32")[0], soundfile.read(release.mix, dtype="int32")[0]
    )


def test_a_print_replaces_the_one_before(release: SmallRelease) -> None:
    print_song(release.plan)
    first = release.default_print.read_bytes()
    release.change("ride_db = 0.4", "ride_db = 0.9")
    print_song(release.plan)
    assert release.default_print.read_bytes() != first
    assert sorted(os.listdir(release.default_print.parent)) == ["small-hours-bridge.wav", "small-hours.wav"]


def test_mixes_are_only_read(release: SmallRelease) -> None:
    """Also root finds out: any write would move the time or the bytes."""
    for path in (release.mix, release.outboard):
        path.chmod(0o444)
    release.mix.parent.chmod(0o555)
    kept = (release.mix, release.outboard)
    before = snapshot(release.folder), [path.stat().st_mtime_ns for path in kept]
    for words in (
        ("print", release.plan, "--out", release.folder / "out.wav"),
        ("contour", release.plan),
        ("sections", release.plan),
        ("measure", release.mix),
        ("compare", release.mix, release.outboard),
        ("keep", release.plan, "-m", "kept"),
    ):
        assert process(*words).returncode == 0
    after = snapshot(release.folder), [path.stat().st_mtime_ns for path in kept]
    release.mix.parent.chmod(0o755)
    assert after[1] == before[1]
    assert after[0].items() >= before[0].items()
    assert os.listdir(release.mix.parent) == ["small-hours.wav"]


def test_a_plan_that_was_read_is_printed_whatever_becomes_of_its_file(release: SmallRelease) -> None:
    expected = print_song(release.plan).sha256
    read = open_plan(release.plan)
    release.plan.unlink()
    assert print_plan(read).sha256 == expected
