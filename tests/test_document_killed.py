"""A server that is killed in mid-edit: the plan on disk is whole, as it was told last or one step on."""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path

import pytest

from arsis.plan.codec import parse_song
from arsis.workflow.document import Document
from tests.documents import opened

_EDITS = """
import sys
from pathlib import Path
from arsis.workflow.document import Document
document = Document(Path(sys.argv[1]), lambda: None)
for i in range(1, 100_000):
    document.edit("set_ride", {"name": "refrain 1", "ride_db": i / 10_000}, "drag" if i % 3 else None)
    print(i, flush=True)
"""


@pytest.mark.parametrize("wait_ms", [0.0, 1.3, 3.1])
def test_what_was_told_is_on_disk_and_whole(tmp_path: Path, wait_ms: float) -> None:
    path = opened(tmp_path).path
    with subprocess.Popen(
        [sys.executable, "-c", _EDITS, str(path)], stdout=subprocess.PIPE, text=True
    ) as desk:
        assert desk.stdout is not None
        while int(desk.stdout.readline()) < 5:
            pass
        time.sleep(wait_ms / 1000.0)
        desk.kill()
        told = max(int(line) for line in ["5", *desk.stdout.read().split()])
    on_disk = parse_song(path.read_text()).section[2].ride_db
    assert on_disk in (told / 10_000, (told + 1) / 10_000)
    document = Document(path, lambda: None)  # the next one goes on from there, and clears what was half done
    document.edit("set_title", {"title": "High Water"})
    assert [file.name for file in path.parent.iterdir()] == ["low-water.toml"]
