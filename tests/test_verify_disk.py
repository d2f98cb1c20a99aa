"""`arsis verify` on folders that hold more, or other things, than files that can be read."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from arsis.cli.main import main
from arsis.errors import ArsisError

from .deliveries import Delivered, deliver, make_release
from .planted import ONE, TWO, WHOLE

AAC = 'schema = 1\nname = "aac"\ncontainer = "aac"\nkbps = 256.0\nrate_hz = 44100\nversions = false\n'


def verify(folder: Path, *more: str) -> tuple[int, dict[str, Any]]:
    result = CliRunner().invoke(main, ["verify", str(folder), "--jobs", "1", "--json", *more])
    assert result.exit_code in (0, 1), result.output
    found: dict[str, Any] = json.loads(result.stdout)
    return result.exit_code, found


def said(folder: Path, *more: str) -> list[str]:
    return [f"{one['file']}: {one['what']}" for one in verify(folder, *more)[1]["findings"]]


def link(path: Path, to: str) -> None:
    path.unlink(missing_ok=True)
    path.symlink_to(to)


def pipe(path: Path) -> None:
    path.unlink()
    os.mkfifo(path)


Change = Callable[[Path], object]
PUT: dict[str, tuple[Change, str]] = {
    "a link that leads nowhere": (
        lambda folder: link(folder / ONE, "gone.wav"),
        f"{ONE}: is a link that leads nowhere",
    ),
    "a sheet that leads nowhere": (
        lambda folder: link(folder / "paperwork/track-sheet.txt", "gone.txt"),
        "paperwork/track-sheet.txt: is a link that leads nowhere",
    ),
    "a plan that leads nowhere": (
        lambda folder: link(folder / "plans/01-small-hours.toml", "gone.toml"),
        "plans/01-small-hours.toml: is a link that leads nowhere",
    ),
    "a link to itself": (
        lambda folder: link(folder / WHOLE, WHOLE),
        f"{WHOLE}: is a link that leads nowhere",
    ),
    "a pipe": (lambda folder: pipe(folder / TWO), f"{TWO}: is no plain file"),
    "a link too many": (
        lambda folder: link(folder / "again.wav", ONE),
        "again.wav: extra: the manifest does not list it",
    ),
    "a link too many that leads nowhere": (
        lambda folder: link(folder / "again.wav", "gone"),
        "again.wav: extra: the manifest does not list it",
    ),
    "a link to a folder": (
        lambda folder: link(folder / "mixes", "../../mixes"),
        "mixes: extra: a folder of which the manifest lists no file",
    ),
    "an empty folder": (
        lambda folder: (folder / "more/less").mkdir(parents=True),
        "more/less: extra: a folder of which the manifest lists no file",
    ),
}


@pytest.mark.parametrize(("change", "words"), PUT.values(), ids=list(PUT))
def test_what_cannot_be_read_or_is_too_much_is_named(
    delivered: Delivered,
    change: Change,
    words: str,
) -> None:
    change(delivered.folder)
    assert words in said(delivered.folder)


def test_a_file_that_may_not_be_read_is_named(
    delivered: Delivered,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The tests may run as root, who may read all."""
    from arsis.deliver.verify import reading

    read = reading.sha256_of

    def refuse(path: Path) -> str:
        if path.name == ONE:
            raise ArsisError(f"{path}: cannot be read: Permission denied")
        return read(path)

    monkeypatch.setattr(reading, "sha256_of", refuse)
    assert f"{ONE}: cannot be read: Permission denied" in said(delivered.folder)


def test_what_systems_leave_behind_is_passed_over(delivered: Delivered) -> None:
    for name in (".DS_Store", "Thumbs.db", "desktop.ini", f"._{ONE}", "paperwork/._recall.txt"):
        (delivered.folder / name).write_bytes(b"\0\5\x16\7")
    status, found = verify(delivered.folder, "--no-rebuild")
    assert (status, found["findings"]) == (0, [])


def test_aac_that_cannot_be_decoded_here_is_not_called_faulty(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    pytest.importorskip("av")
    release = make_release(tmp_path / "nocturnes")
    (release / "profiles").mkdir()
    (release / "profiles/aac.toml").write_text(AAC, encoding="utf-8")
    made = deliver(release, "aac")
    assert verify(made.folder)[1]["unheard"] == []
    monkeypatch.setitem(sys.modules, "av", None)  # as where it is not installed
    status, found = verify(made.folder)
    assert (status, found["findings"]) == (0, [])
    assert len(found["unheard"]) == found["sounds"] == 3
    why = "AAC needs the extra `encode`, which is not installed: pip install 'arsis[encode]'"
    assert {one["why"] for one in found["unheard"]} == {why}
    text = CliRunner().invoke(main, ["verify", str(made.folder), "--jobs", "1"]).stdout
    assert f"not listened to: {why} (01 Small Hours.m4a, " in text
    assert "meters" not in text
