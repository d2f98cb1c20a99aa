"""How far a long piece of work has come, for whoever wants to show it."""

from __future__ import annotations

from collections.abc import Callable

# Called with frames done and frames in all; it may raise to stop the work.
Progress = Callable[[int, int], None]

# Who waits for other processes calls it this often meanwhile, so that a stop is not late.
LOOKED_EVERY_S = 0.25


def unseen(done: int, total: int) -> None:
    """Shows nothing."""
