"""What is measured of a plan section by section, as the page gets it."""

from __future__ import annotations

import math
from dataclasses import fields, is_dataclass
from typing import Any

import numpy as np

from arsis.render.contour import Contour
from arsis.render.took import TRACE_HOP_S

_TRACE_DIGITS = 3


def shape_table(found: Contour, warnings: tuple[str, ...]) -> dict[str, Any]:
    """Sections as `arsis contour --json` has them, joins, whole figures, and the limiter's trace."""
    return {
        "sections": plain(found.sections),
        "joins": plain(found.joins.reports),
        "mix": plain(found.mix),
        "print": plain(found.print),
        "took": plain(found.took),
        "warnings": list(warnings),
        "took_hop_s": TRACE_HOP_S,
        "took_db": np.round(found.took_db, _TRACE_DIGITS).tolist(),
    }


def plain(value: Any) -> Any:
    """What JSON can carry: keys as the fields are named, None for what does not exist."""
    if is_dataclass(value) and not isinstance(value, type):
        return {one.name.rstrip("_"): plain(getattr(value, one.name)) for one in fields(value)}
    if isinstance(value, list | tuple):
        return [plain(one) for one in value]
    return None if isinstance(value, float) and not math.isfinite(value) else value
