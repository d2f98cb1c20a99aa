"""Figures in the words of a finding: a true minus sign, one space before a unit."""

from __future__ import annotations

MINUS = "\N{MINUS SIGN}"


def figure(value: float | None, digits: int = 1, *, signed: bool = False) -> str:
    """A number; "none" where it does not exist."""
    if value is None:
        return "none"
    text = f"{value:+.{digits}f}" if signed else f"{value:.{digits}f}"
    return text.replace("-", MINUS)


def many(count: int, noun: str) -> str:
    """1 frame, 2 frames."""
    return f"{count} {noun}{'' if count == 1 else 's'}"


def length(frames: int, rate_hz: int) -> str:
    """Seconds, or frames where there are few."""
    if frames < rate_hz // 100:
        return many(frames, "frame")
    return f"{figure(frames / rate_hz, 3 if frames < rate_hz else 1)} s"


def at(frame: int, rate_hz: int) -> str:
    """A place in a file."""
    return f"{figure(frame / rate_hz, 3)} s"
