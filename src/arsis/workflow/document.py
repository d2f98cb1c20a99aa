"""A plan on disk under edit."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from .places import open_plan


class Document:
    """The one model of a plan that is being edited."""

    def __init__(self, plan_path: Path, told: Callable[[], None]) -> None:
        opened = open_plan(plan_path)
        self.plan_path, self.release, self.song, self.version = plan_path, opened.release, opened.song, 1
        self._told = told

    def look(self) -> bool:
        return False
