"""The paperwork of a delivery: whole files, the same for the same data, with their entries."""

from __future__ import annotations

import hashlib
from pathlib import Path

from arsis.deliver.paperwork.write import write_paperwork

from .paper_delivery import paper_delivery


def test_every_sheet_is_written_and_entered(tmp_path: Path) -> None:
    made = paper_delivery()
    entries = write_paperwork(tmp_path, made.manifest, made.songs, made.release, made.profile, made.extra)
    files = sorted(path for path in tmp_path.rglob("*") if path.is_file())
    assert [entry.path for entry in entries] == [path.relative_to(tmp_path).as_posix() for path in files]
    for entry, path in zip(entries, files, strict=True):
        data = path.read_bytes()
        assert (entry.sha256, entry.bytes) == (hashlib.sha256(data).hexdigest(), len(data))
