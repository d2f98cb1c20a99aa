"""`arsis verify` on real deliveries: what is whole passes, what was altered is caught and named."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from arsis.cli.main import main
from arsis.deliver.manifest_file import read_manifest
from arsis.deliver.paperwork.write import write_paperwork
from arsis.plan.codec import read_profile, read_release, read_song

from . import alterations as by
from .deliveries import Delivered, copy_of, deliver, make_release
from .planted import (
    CASES,
    ONE,
    THREE,
    TWO,
    WHOLE,
)


def verify(folder: Path, *more: str) -> tuple[int, dict[str, Any]]:
    result = CliRunner().invoke(main, ["verify", str(folder), "--jobs", "1", "--json", *more])
    assert result.exit_code in (0, 1), result.output
    found: dict[str, Any] = json.loads(result.stdout)
    assert found["holds"] is (result.exit_code == 0)
    return result.exit_code, found


def lines(found: dict[str, Any]) -> list[str]:
    return [
        f"{one['file']}: {one['what']} (expected {one['expected']}, found {one['found']})"
        for one in found["findings"]
    ]


@pytest.mark.parametrize("profile", ["hires", "cd", "stream", "vinyl", "preview"])
def test_a_delivery_in_every_profile_of_the_house_holds_and_is_made_again(
    pristine_delivered: dict[str, Delivered],
    profile: str,
) -> None:
    status, found = verify(pristine_delivered[profile].folder)
    assert lines(found) == []
    assert status == 0
    assert found["not_rebuilt"] == []
    assert len(found["rebuilt"]) == found["sounds"] >= 3


@pytest.mark.parametrize("case", CASES)
def test_what_was_altered_is_caught_and_named(delivered: Delivered, case: str) -> None:
    alter, file, words = CASES[case]
    alter(delivered.folder)
    status, found = verify(delivered.folder)
    assert status == 1
    said = [line for line in lines(found) if line.startswith(f"{file}: ") and re.search(words, line)]
    assert said, "\n".join(lines(found))


def test_sixteen_bit_words_in_a_24_bit_file_are_named(
    pristine_delivered: dict[str, Delivered],
    tmp_path: Path,
) -> None:
    made = copy_of(pristine_delivered["stream"], tmp_path)
    by.put_words24(made.folder / ONE, by.words24_of(made.folder / ONE) >> 8 << 8)
    _, found = verify(made.folder)
    assert any(f"{ONE}: 16-bit words in a 24-bit file" in line for line in lines(found))


def test_what_is_missing_is_counted_in_time_at_whatever_rate(delivered: Delivered) -> None:
    by.resampled(delivered.folder / ONE, 48_000)
    by.resampled(delivered.folder / TWO, 48_000)
    by.change_words(delivered.folder / TWO, lambda words: words[:, :-48_000])
    said = lines(verify(delivered.folder, "--no-rebuild")[1])
    for file in (ONE, TWO):
        assert f"{file}: another rate (expected 44100 Hz, found 48000 Hz)" in said
    assert not any(re.search("truncated|too long", line) for line in said if line.startswith(ONE))
    assert any(line.startswith(f"{TWO}: truncated: 1.0 s missing") for line in said)


def test_sheets_are_held_against_the_manifest_line_by_line(delivered: Delivered) -> None:
    folder = delivered.folder
    songs = [read_song(path) for path in sorted((folder / "plans").iterdir())]
    release, profile = read_release(folder / "release.toml"), read_profile(folder / "profile.toml")
    write_paperwork(folder, read_manifest(folder), songs, release, profile)
    assert not [
        line for line in lines(verify(folder, "--no-rebuild")[1]) if "is not what the manifest" in line
    ]
    by.edit(folder / "tracks.cue", "INDEX 01 00:08:00", "INDEX 01 00:08:01")
    for end in ("txt", "csv", "html"):
        by.edit(folder / f"paperwork/track-sheet.{end}", "Milk Round", "Milk Run")
    said = lines(verify(folder, "--no-rebuild")[1])
    for sheet in ("tracks.cue", "track-sheet.txt", "track-sheet.csv", "track-sheet.html"):
        assert any(re.search(rf"{sheet}: line \d+ is not what the manifest says", line) for line in said), (
            said
        )


def test_a_long_line_of_a_sheet_is_told_by_what_lies_where_it_differs(delivered: Delivered) -> None:
    by.edit(delivered.folder / "paperwork/track-sheet.csv", "01 Small Hours.wav", "01 Small Horse.wav")
    [finding] = [
        one for one in verify(delivered.folder, "--no-rebuild")[1]["findings"] if "line" in one["what"]
    ]
    for value, name in (
        (finding["expected"], "01 Small Hours.wav"),
        (finding["found"], "01 Small Horse.wav"),
    ):
        assert name in value
        assert len(value) <= 82


@pytest.mark.parametrize(
    "sheet",
    [
        *(f"track-sheet.{end}" for end in ("txt", "csv", "html")),
        *("recall.txt", "recall.html", "report.html", "notes-artist.txt", "notes-mixer.txt", "../tracks.cue"),
    ],
)
def test_a_sheet_that_is_gone_from_disk_and_manifest_is_missed(delivered: Delivered, sheet: str) -> None:
    path = sheet.removeprefix("../") if sheet.startswith("../") else f"paperwork/{sheet}"
    (delivered.folder / path).unlink()
    by.change_manifest(
        delivered.folder,
        lambda table: table.update(documents=[one for one in table["documents"] if one["path"] != path]),
    )
    status, found = verify(delivered.folder, "--no-rebuild")
    assert status == 1
    assert any(line.startswith(f"{path}: missing") for line in lines(found))


def test_a_mix_that_is_gone_or_another_is_told_and_is_no_fault_of_the_delivery(
    delivered: Delivered,
) -> None:
    (delivered.release / "mixes/first-tram.wav").unlink()
    by.flip(delivered.release / "mixes/small-hours.wav", 2_000)
    status, found = verify(delivered.folder)
    assert status == 0
    reasons = {one["file"]: one["why"] for one in found["not_rebuilt"]}
    assert reasons[ONE] == "mixes/small-hours.wav is another file than it was made from"
    assert reasons[TWO] == reasons[THREE] == "mixes/first-tram.wav is not there"
    assert WHOLE in reasons
    assert verify(delivered.folder, "--release", str(delivered.release))[0] == 1


def test_a_delivery_that_stands_alone_is_read_back_and_is_not_rebuilt(
    delivered: Delivered,
    tmp_path: Path,
) -> None:
    away = tmp_path / "elsewhere" / "far" / "cd"
    shutil.move(delivered.folder, away)
    status, found = verify(away)
    assert status == 0
    assert found["rebuilt"] == []
    assert "--release" in found["not_rebuilt"][0]["why"]
    status, found = verify(away, "--release", str(delivered.release))
    assert status == 0
    assert len(found["rebuilt"]) == 4


def test_all_cores_find_what_one_process_finds(delivered: Delivered) -> None:
    by.change_words(delivered.folder / ONE, lambda words: by.louder(words, -0.1))
    alone = verify(delivered.folder)
    assert verify(delivered.folder, "--jobs", "2") == alone


def test_a_folder_that_is_no_delivery_is_a_fault_of_the_request(tmp_path: Path) -> None:
    for folder in (tmp_path, tmp_path / "nowhere"):
        result = CliRunner().invoke(main, ["verify", str(folder)])
        assert result.exit_code == 2
        assert "delivery" in result.stderr


def test_one_file_is_not_called_several(tmp_path: Path) -> None:
    release = make_release(tmp_path / "nocturnes")
    text = (release / "release.toml").read_text(encoding="utf-8")
    (release / "release.toml").write_text("[[song]]".join(text.split("[[song]]")[:2]), encoding="utf-8")
    made = deliver(release, "hires", "--no-versions")
    said = CliRunner().invoke(main, ["verify", str(made.folder), "--jobs", "1"]).stdout
    assert "\n1 sound file: format" in said


def test_the_text_is_short_where_all_is_well_and_names_what_is_not(
    delivered: Delivered,
) -> None:
    result = CliRunner().invoke(main, ["verify", str(delivered.folder), "--jobs", "1"])
    assert result.exit_code == 0
    assert len(result.stdout.splitlines()) == 4
    assert "4 of 4 made again from mix and plan, bit for bit" in result.stdout
    (delivered.folder / TWO).unlink()
    result = CliRunner().invoke(main, ["verify", str(delivered.folder), "--no-rebuild", "--jobs", "1"])
    assert result.exit_code == 1
    assert f"{TWO}:\n  missing: the manifest lists it" in result.stdout
