"""`arsis verify` on deliveries with and without their versions, by the real commands."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from arsis.cli.main import main

from . import alterations as by
from .deliveries import Delivered, copy_of, deliver, make_release
from .planted import ONE, THREE, TWO

INSTRUMENTAL = "01 Small Hours (instrumental).wav"


def verify(folder: Path, *more: str) -> tuple[int, dict[str, Any]]:
    result = CliRunner().invoke(main, ["verify", str(folder), "--jobs", "1", "--json", *more])
    assert result.exit_code in (0, 1), result.output
    found: dict[str, Any] = json.loads(result.stdout)
    return result.exit_code, found


def test_a_delivery_without_the_versions_that_its_release_has_holds(tmp_path: Path) -> None:
    made = deliver(make_release(tmp_path / "nocturnes"), "hires", "--no-versions")
    assert not (made.folder / INSTRUMENTAL).exists()
    status, found = verify(made.folder)
    assert found["findings"] == []
    assert (status, found["rebuilt"], found["not_rebuilt"]) == (0, [ONE, TWO, THREE], [])


@pytest.fixture
def with_versions(pristine_delivered: dict[str, Delivered], tmp_path: Path) -> Delivered:
    return copy_of(pristine_delivered["hires"], tmp_path)


def test_a_version_that_is_gone_is_missing(with_versions: Delivered) -> None:
    (with_versions.folder / INSTRUMENTAL).unlink()
    status, found = verify(with_versions.folder, "--no-rebuild")
    assert status == 1
    assert f"{INSTRUMENTAL}: missing" in str([f"{one['file']}: {one['what']}" for one in found["findings"]])


def test_a_version_that_is_gone_from_the_manifest_too_is_missed(with_versions: Delivered) -> None:
    (with_versions.folder / INSTRUMENTAL).unlink()
    by.change_manifest(
        with_versions.folder,
        lambda table: table.update(sounds=[one for one in table["sounds"] if one["path"] != INSTRUMENTAL]),
    )
    status, found = verify(with_versions.folder, "--no-rebuild")
    assert status == 1
    assert ["a version is not listed", INSTRUMENTAL] in [
        [one["what"], one["expected"]] for one in found["findings"]
    ]


def test_what_a_shared_limiter_hears_is_needed_even_where_it_is_not_delivered(tmp_path: Path) -> None:
    release = make_release(tmp_path / "nocturnes")
    by.edit(release / "songs/small-hours.toml", "gain_db = 6.0", "gain_db = 6.0\nshare_limiter = true")
    made = deliver(release, "hires", "--no-versions")
    status, found = verify(made.folder)
    assert (status, found["findings"], found["rebuilt"]) == (0, [], [ONE, TWO, THREE])
    by.flip(release / "mixes/small-hours-instrumental.wav", 2_000)
    status, found = verify(made.folder)
    assert (status, found["findings"], found["rebuilt"]) == (0, [], [TWO, THREE])
    why = "mixes/small-hours-instrumental.wav is another file than it was made from"
    assert found["not_rebuilt"] == [{"file": ONE, "why": why}]


def test_a_print_of_a_version_of_its_own_is_needed(tmp_path: Path) -> None:
    """A pass printed elsewhere, for the song and for its instrumental."""
    release = make_release(tmp_path / "nocturnes")
    plan = release / "songs/small-hours.toml"
    by.edit(plan, 'note = "left alone"\nchain = []', 'print = "prints/main.wav"')
    by.edit(
        plan,
        'mix = "mixes/small-hours-instrumental.wav"\n',
        'mix = "mixes/small-hours-instrumental.wav"\n'
        '[[version.print]]\npass = "A"\nfile = "prints/instrumental.wav"\n',
    )
    (release / "prints").mkdir()
    for name, mix in (("main", "small-hours"), ("instrumental", "small-hours-instrumental")):
        (release / f"prints/{name}.wav").write_bytes((release / f"mixes/{mix}.wav").read_bytes())
    made = deliver(release, "hires")
    assert verify(made.folder)[1]["not_rebuilt"] == []
    by.flip(release / "prints/instrumental.wav", 2_000)
    status, found = verify(made.folder)
    assert (status, found["findings"]) == (0, [])
    assert {"file": INSTRUMENTAL, "why": "prints/instrumental.wav is another file than it was made from"} in (
        found["not_rebuilt"]
    )


def test_a_recording_that_comes_twice_has_its_code_twice(tmp_path: Path) -> None:
    release = make_release(tmp_path / "nocturnes")
    again = '\n[[song]]\nplan = "songs/small-hours.toml"\nisrc = "AA6Q72000047"\ngap_s = 1.0\n'
    (release / "release.toml").write_text((release / "release.toml").read_text() + again)
    made = deliver(release, "cd")
    status, found = verify(made.folder)
    assert (status, found["findings"], len(found["rebuilt"])) == (0, [], 5)
    by.change_manifest(made.folder, lambda table: by.entry(table, TWO).update(isrc="AA6Q72000047"))
    said = [one["what"] for one in verify(made.folder, "--no-rebuild")[1]["findings"]]
    assert "the ISRC AA6Q72000047 is given to more than one recording" in said
