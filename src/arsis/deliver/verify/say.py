"""Counts, lengths and places in the words of a finding."""

from __future__ import annotations

from arsis.report.text import number


def many(count: int, noun: str) -> str:
    """1 frame, 2 frames."""
    return f"{count} {noun}{'' if count == 1 else 's'}"


def length(frames: int, rate_hz: int) -> str:
    """Seconds, or frames where there are few."""
    if frames < rate_hz // 100:
        return many(frames, "frame")
    return f"{number(frames / rate_hz, 3 if frames < rate_hz else 1)} s"


def at(frame: int, rate_hz: int) -> str:
    """A place in a file."""
    return f"{number(frame / rate_hz, 3)} s"
