"""Something that was found, with its figure, how sure it is, and what it means for the master."""

from __future__ import annotations

from dataclasses import dataclass

from arsis.report.text import clock


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """kind: one word for scripts. says: what was found, figure and unit included. at_s: places, in time, the
    first few of `count`. sure: 0 to 1. means: for the master. asks: what the mixer could do; empty for
    nothing. stops: another file is wanted before any work is worth while."""

    kind: str
    says: str
    at_s: tuple[float, ...] = ()
    count: int | None = None
    sure: float
    means: str
    asks: str = ""
    stops: bool = False


def placed(one: Finding, most: int = 3) -> str:
    """What was found, and the first few places: `3 clicks: 0:48.4, 1:02.3 and 1 more`."""
    if not one.at_s:
        return one.says
    times = [clock(time_s) for time_s in one.at_s]
    shown = list(dict.fromkeys(times))[:most]
    more = max(one.count or 0, len(times)) - sum(time in shown for time in times)
    return f"{one.says}: {', '.join(shown)}" + (f" and {more} more" if more > 0 else "")


def between(value: float, low: float, high: float, least: float, most: float) -> float:
    """`least` at `low`, `most` at `high`, in a straight line between, and no more than these outside."""
    share = min(max((value - low) / (high - low), 0.0), 1.0)
    return round(least + share * (most - least), 2)
