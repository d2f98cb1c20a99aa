"""A note to the mixer as text to send: what would help most comes first; nothing is said twice."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import fill

from .finding import Finding, placed

WIDTH = 88


def mixer_note(title: str, findings: Sequence[Finding]) -> str:
    """Short and courteous; empty-handed thanks where there is nothing to ask."""
    asked = [one for one in findings if one.asks]
    if not asked:
        return f"Thank you for {title}. The file is fine, and there is nothing to ask for."
    head = "one question" if len(asked) == 1 else f"{len(asked)} questions, the weightiest first"
    lines = [fill(f"Thank you for {title}. Before the work begins, {head}:", WIDTH), ""]
    for number, one in enumerate(asked, 1):
        says = placed(one)
        said = f"{says[0].upper()}{says[1:]}. {one.asks}"
        lines.append(fill(said, WIDTH, initial_indent=f"{number}. ", subsequent_indent="   "))
    if not any(one.stops for one in asked):
        lines += ["", fill("If it has to stay as it is, it can be worked with.", WIDTH)]
    return "\n".join(lines)
