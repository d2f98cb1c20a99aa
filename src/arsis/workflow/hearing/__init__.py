"""Everything that can be heard of a song."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from arsis.plan.model import Song


class Hearing:
    """The sounds of one song."""

    def __init__(self, release: Path, song: Song, told: Callable[[str, dict[str, Any]], None]) -> None:
        self.release, self.song, self._told = release, song, told

    def turn_to(self, song: Song) -> None:
        self.song = song

    def references_changed(self) -> None: ...

    def look(self) -> None: ...

    def close(self) -> None: ...
