"""`arsis verify` away from the release, with other tools than made the delivery, and on lossy files."""

from __future__ import annotations

import hashlib
import json
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from mutagen.id3 import ID3, TIT2

from arsis.cli.main import main

from . import alterations as by
from .deliveries import Delivered, copy_of
from .planted import ONE, THREE, TWO

MP3 = "01 Small Hours.mp3"


def verify(folder: Path, *more: str) -> dict[str, Any]:
    result = CliRunner().invoke(main, ["verify", str(folder), "--jobs", "1", "--json", *more])
    assert result.exit_code in (0, 1), result.output
    found: dict[str, Any] = json.loads(result.stdout)
    assert found["holds"] is (result.exit_code == 0)
    return found


def said(found: dict[str, Any], file: str) -> list[str]:
    return [one["what"] for one in found["findings"] if one["file"] == file]


def test_without_the_release_sound_is_told_by_its_digest_and_its_meters(
    delivered: Delivered,
    tmp_path: Path,
) -> None:
    away = tmp_path / "elsewhere/far/cd"
    shutil.move(delivered.folder, away)
    by.change_words(away / ONE, lambda words: by.louder(words, -0.5))
    by.change_words(away / TWO, lambda words: -words)
    by.flip_in_chunk(away / THREE, b"data", 400_000)
    found = verify(away)
    altered = "sound altered: other words than were delivered"
    assert altered in said(found, ONE)
    assert "level changed by −0.50 dB, by all its meters" in said(found, ONE)
    for file in (TWO, THREE):  # caught, and not named
        assert altered in said(found, file)
        assert not any("polarity" in what or "frame" in what for what in said(found, file))
    assert found["rebuilt"] == []


def test_a_copy_that_is_another_is_the_finding_and_nothing_is_made_from_it(
    delivered: Delivered,
) -> None:
    plan = "plans/01-small-hours.toml"
    by.edit(delivered.folder / plan, "ride_db = 0.4", "ride_db = 0.5")
    found = verify(delivered.folder)
    assert said(found, plan) == ["changed: not the bytes that were delivered"]
    assert found["rebuilt"] == []
    assert {one["why"] for one in found["not_rebuilt"]} == {f"{plan} is not the copy that was delivered"}


def of_other_tools(table: dict[str, Any], name: str) -> None:
    if name == "arsis":
        table["arsis"] = table["inputs"]["arsis"] = "0.0.1"
    else:
        table["libraries"][name] = table["inputs"][f"library {name}"] = "0.0.1"


@pytest.mark.parametrize("name", ["arsis", "numpy"])
def test_other_tools_that_make_the_same_bytes_are_nothing_to_tell(
    delivered: Delivered,
    name: str,
) -> None:
    by.change_manifest(delivered.folder, lambda table: of_other_tools(table, name))
    found = verify(delivered.folder)
    assert [one for one in found["findings"] if one["check"] != "paperwork"] == []
    assert len(found["rebuilt"]) == 4


@pytest.mark.parametrize("name", ["arsis", "numpy", None])
def test_another_sound_is_laid_to_other_tools_only_where_there_are_such(
    delivered: Delivered,
    name: str | None,
) -> None:
    """A delivery as it might have come of tools that round otherwise: its digests are those of its words."""
    by.flip_in_chunk(delivered.folder / THREE, b"data", 400_000)
    by.fit_digests(delivered.folder, THREE)
    if name is not None:
        by.change_manifest(delivered.folder, lambda table: of_other_tools(table, name))
    found = verify(delivered.folder)
    apart = "one frame altered at 2.268 s (frame 100000)"
    if name is None:
        assert f"not what mix and plan make: {apart}" in said(found, THREE)
        return
    [other] = [one for one in found["not_rebuilt"] if one["file"] == THREE]
    assert other["why"].startswith(f"made again by {name} ")
    assert other["why"].endswith(f", not 0.0.1 it differs: {apart}")
    assert not any("mix and plan" in what for what in said(found, THREE))


@pytest.fixture
def preview(pristine_delivered: dict[str, Delivered], tmp_path: Path) -> Path:
    return copy_of(pristine_delivered["preview"], tmp_path).folder


def test_a_lossy_file_with_other_tags_has_its_sound(preview: Path) -> None:
    tags = ID3(preview / MP3)
    tags.add(TIT2(encoding=3, text=["Other Hours"]))
    tags.save(preview / MP3)
    what = 're-tagged, sound intact: title changed from "Small Hours" to "Other Hours"'
    assert what in said(verify(preview), MP3)


def test_a_lossy_file_that_was_turned_down_is_told_by_its_meters(preview: Path) -> None:
    coded_again(preview / MP3, "volume=-1dB")
    found = [one for one in verify(preview)["findings"] if one["file"] == MP3 and one["check"] == "meters"]
    assert {"integrated loudness", "true peak"} <= {one["what"] for one in found}
    [loud] = [one for one in found if one["what"] == "integrated loudness"]
    before, after = (float(loud[key].replace("−", "-").split()[0]) for key in ("expected", "found"))
    assert after - before == pytest.approx(-1.0, abs=0.1)  # a coder turns sound down a little itself


def test_a_lossy_file_that_breaks_off_is_told(preview: Path) -> None:
    data = (preview / MP3).read_bytes()
    (preview / MP3).write_bytes(data[: len(data) // 2])
    assert any("truncated" in what for what in said(verify(preview), MP3))


def test_a_lossy_file_that_was_coded_again_is_not_what_mix_and_plan_make(preview: Path) -> None:
    """As a forger leaves it, with its digest put right."""
    coded_again(preview / MP3, "anull")
    data = (preview / MP3).read_bytes()
    digest = {"sha256": hashlib.sha256(data).hexdigest(), "bytes": len(data)}
    by.change_manifest(preview, lambda table: by.entry(table, MP3).update(digest))
    assert any(what.startswith("not what mix and plan make: ") for what in said(verify(preview), MP3))


def coded_again(path: Path, filter_: str) -> None:
    """Decoded and coded again at the same rate by FFmpeg, with the tags it had."""
    new = path.with_suffix(".new.mp3")
    form = ["-map", "0", "-c:v", "copy", "-af", filter_, "-b:a", "320k"]
    subprocess.run(["ffmpeg", "-v", "error", "-i", str(path), *form, str(new)], check=True)
    new.replace(path)
