"""Numbers as a reader wants them, and plain tables. A true minus sign, one space before a unit."""

from __future__ import annotations

import math
from collections.abc import Sequence

MINUS = "\N{MINUS SIGN}"
NOTHING = "–"


def number(value: float | None, digits: int = 1, *, signed: bool = False) -> str:
    """A number with a true minus sign; a dash where it does not exist."""
    if value is None or not math.isfinite(value):
        return NOTHING
    text = f"{value:+.{digits}f}" if signed else f"{value:.{digits}f}"
    if float(text) == 0.0:
        text = text.lstrip("+-")
    return text.replace("-", MINUS)


def change(value: float | None, digits: int = 1) -> str:
    """A change of level: always with its sign, except for nothing."""
    return number(value, digits, signed=True)


def clock(time_s: float) -> str:
    """Minutes and seconds: 1:23.4."""
    tenths = round(time_s * 10.0)
    return f"{tenths // 600}:{tenths // 10 % 60:02d}.{tenths % 10}"


def percent(share: float) -> str:
    """A share as whole per cent; what is there but rounds to nothing is said to be under one."""
    return "<1 %" if 0.0 < share < 0.005 else f"{100.0 * share:.0f} %"


def most_taken(max_db: float) -> str:
    """What a limiter took at most; what rounds to nothing is said to be under that."""
    return f"up to {number(max_db)} dB" if max_db >= 0.05 else "under 0.05 dB"


def table(heads: Sequence[str], rows: Sequence[Sequence[str]], *, left: int = 1) -> str:
    """Columns lined up, the first `left` of them to the left and the rest to the right."""
    lines = [list(heads), *(list(row) for row in rows)]
    widths = [max(len(line[i]) for line in lines) for i in range(len(heads))]

    def cell(text: str, i: int) -> str:
        return text.ljust(widths[i]) if i < left else text.rjust(widths[i])

    return "\n".join("  ".join(cell(text, i) for i, text in enumerate(line)).rstrip() for line in lines)
