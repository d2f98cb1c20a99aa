"""A manifest that was edited by hand ends `arsis verify` in clear words, never in a traceback."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest
from click.testing import CliRunner

from arsis.cli.main import main

from . import alterations as by
from .deliveries import Delivered
from .planted import ONE, THREE, WHOLE

Table = dict[str, Any]


def without_songs(table: Table) -> None:
    table["sounds"] = [one for one in table["sounds"] if one["role"] != "song"]


def without_anything(table: Table) -> None:
    table.update(sounds=[], plans=[], mixes=[])


def mixes_at_1_hz(table: Table) -> None:
    for mix in table["mixes"]:
        mix["rate_hz"] = 1


def whole_with_a_place(table: Table) -> None:
    by.entry(table, WHOLE)["place"] = 1


def without_the_last_song(table: Table) -> None:
    table["sounds"] = [one for one in table["sounds"] if one["path"] != THREE]


def version_without_a_place(table: Table) -> None:
    by.entry(table, ONE).update(role="version", place=None, version="clean", songs=[1])


EDITED: dict[str, tuple[Callable[[Table], object], str]] = {
    "no songs": (without_songs, "manifest.json: frozen plans"),
    "nothing with sound": (without_anything, "manifest.json: number of songs is not that of release.toml"),
    "a song less": (without_the_last_song, "manifest.json: frozen plans"),
    "mixes at 1 Hz": (mixes_at_1_hz, "manifest.json: mixes/first-tram.wav has another rate or length"),
    "a trim where limiters hold": (lambda table: table.update(trim_db=-0.5), "manifest.json: trim_db"),
    "a continuous file with a place": (whole_with_a_place, f"manifest.json: {WHOLE}: where it belongs"),
    "a version of no song": (version_without_a_place, f"manifest.json: {ONE}: where it belongs"),
}


@pytest.mark.parametrize(("edit", "said"), EDITED.values(), ids=list(EDITED))
def test_an_edited_manifest_is_told_in_words(
    delivered: Delivered,
    edit: Callable[[Table], object],
    said: str,
) -> None:
    by.change_manifest(delivered.folder, edit)
    result = CliRunner().invoke(main, ["verify", str(delivered.folder), "--jobs", "1", "--json"])
    assert result.exit_code == 1, result.output
    whats = [f"{one['file']}: {one['what']}" for one in json.loads(result.stdout)["findings"]]
    assert any(what.startswith(said) for what in whats), "\n".join(whats)


@pytest.mark.parametrize("trim_db", [1e9, -1e9])
def test_a_level_that_no_sound_has_is_refused(delivered: Delivered, trim_db: float) -> None:
    by.change_manifest(delivered.folder, lambda table: table.update(trim_db=trim_db))
    result = CliRunner().invoke(main, ["verify", str(delivered.folder), "--jobs", "1"])
    assert result.exit_code == 2
    [line] = result.stderr.splitlines()
    assert line.endswith(f"trim_db: found {trim_db}; allowed: a number from -2000 to 2000")
