"""A plan under edit, in a release folder without a mix."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from arsis.plan.codec import parse_song
from arsis.workflow import document_file
from arsis.workflow.document import Document

GOOD = (Path(__file__).parent / "plans" / "v1" / "low-water.toml").read_text()
BROKEN = GOOD.replace("ride_db = 0.4", "ride_db = 40.4")


@dataclass
class Edited:
    """A plan under edit; `told` counts what the pages were told."""

    document: Document
    told: list[int] = field(default_factory=list)

    @property
    def path(self) -> Path:
        return self.document.plan_path

    @property
    def text(self) -> str:
        return self.path.read_text()

    def by_hand(self, old: str, new: str) -> None:
        assert old in self.text
        self.path.write_text(self.text.replace(old, new))

    def is_whole(self) -> bool:
        data = self.path.read_bytes()
        return data == self.document.data and parse_song(data.decode("utf-8-sig")) == self.document.song


def opened(folder: Path, text: str = GOOD) -> Edited:
    path = folder / "songs" / "low-water.toml"
    path.parent.mkdir(parents=True)
    (folder / "release.toml").write_text('schema = 1\ntitle = "Tide Tables"\n')
    path.write_bytes(text.encode())
    told: list[int] = []
    edited = Edited(Document(path, lambda: told.append(edited.document.version)), told)
    return edited


def ride(plan: Edited, ride_db: float, gesture: str | None = None, seen: int | None = None) -> None:
    plan.document.edit("set_ride", {"name": "refrain 1", "ride_db": ride_db}, gesture, seen=seen)


@contextmanager
def at_once() -> Iterator[None]:
    """Nobody writes slowly, so nothing is waited for."""
    quiet_s, document_file._QUIET_S = document_file._QUIET_S, 0.0
    try:
        yield
    finally:
        document_file._QUIET_S = quiet_s
