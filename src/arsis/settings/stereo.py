"""Width."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from annotated_types import Ge, Le, Unit, doc

from .declare import Bypass


@dataclass(frozen=True, slots=True, kw_only=True)
class Width:
    """Level of the sides, and a frequency below which they fold to mono."""

    kind: Literal["width"] = "width"
    side_db: Annotated[float, Ge(-60.0), Le(12.0), Unit("dB"), doc("level change of the side signal")] = 0.0
    fold_below_hz: Annotated[
        float, Ge(0.0), Le(500.0), Unit("Hz"), doc("the sides are taken away below this; 0 leaves them")
    ] = 0.0
    bypass: Bypass = False
