"""What must be seen of a codec check."""

from __future__ import annotations

from collections.abc import Sequence

from arsis.plan.profile import Codec, CodecCheck
from arsis.report.text import clock, number

from .codec_check import CodecChecked


def over_warnings(checks: Sequence[CodecChecked]) -> tuple[str, ...]:
    """What must be seen: coders whose decoded peaks pass the limit, and where they do."""
    return tuple(_over_warning(check) for check in checks if not check.holds)


def is_over_warning(warning: str, checks: Sequence[CodecCheck]) -> bool:
    """Whether a warning is one that these checks may give."""
    return any(warning.startswith(_head(check.codec, check.kbps)) for check in checks)


def _head(codec: Codec, kbps: float) -> str:
    return f"{codec} at {kbps:g} kbit/s: "


def _over_warning(check: CodecChecked) -> str:
    times = "once" if check.overs == 1 else f"{check.overs} times"
    sections = list(dict.fromkeys(over.section for over in check.worst if over.section is not None))
    where = f", in {', '.join(sections)}" if sections else ""
    return (
        f"{_head(check.codec, check.kbps)}decoded peaks pass {number(check.most_dbtp)} dBTP {times}, "
        f"up to {number(check.true_peak_dbtp)} dBTP (at {clock(check.true_peak_at_s)}){where}"
    )
