"""A figure that is not exact."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Figure:
    """A value and its standard error."""

    value: float
    error: float
