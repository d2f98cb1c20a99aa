"""How far a long piece of work has come, for whoever wants to show it."""

from __future__ import annotations

from collections.abc import Callable

# Called with frames done and frames in all.
Progress = Callable[[int, int], None]


def unseen(done: int, total: int) -> None:
    """Shows nothing."""
