"""The last limiter: catches peaks and nothing more."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from annotated_types import Ge, Le, Unit, doc


@dataclass(frozen=True, slots=True, kw_only=True)
class Limiter:
    """Look-ahead true-peak limiter, channels linked."""

    ceiling_dbtp: Annotated[
        float, Ge(-24.0), Le(0.0), Unit("dBTP"), doc("no true peak of the print lies above")
    ] = -1.0
    lookahead_ms: Annotated[float, Ge(0.5), Le(20.0), Unit("ms"), doc("how early it starts to move")] = 3.0
    release_ms: Annotated[
        float,
        Ge(10.0),
        Le(2_000.0),
        Unit("ms"),
        doc("until a tenth of a short peak's share is left; longer after a long one"),
    ] = 120.0
    most_db: Annotated[
        float, Ge(0.0), Le(24.0), Unit("dB"), doc("the most it may take before the print is reported")
    ] = 1.5
