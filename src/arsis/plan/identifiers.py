"""The identifiers and the date of a recording and of a release, checked by their own rules."""

from __future__ import annotations

import re
from datetime import date

# ISO 3901:2019: prefix of two letters and three letters or digits, two of the year, five more.
_ISRC = re.compile(r"[A-Z]{2}[A-Z0-9]{3}[0-9]{7}")
_GTIN_LENGTHS = (8, 12, 13, 14)


def plain_isrc(isrc: str) -> str:
    """An ISRC as it is stored: without the hyphens it may be shown with."""
    return isrc.replace("-", "")


def is_isrc(isrc: str) -> bool:
    """Whether this is an International Standard Recording Code (ISO 3901:2019), hyphens allowed."""
    return _ISRC.fullmatch(plain_isrc(isrc)) is not None


def is_gtin(gtin: str) -> bool:
    """Whether this is a Global Trade Item Number with a right check digit.

    GS1 General Specifications, "Standard check digit calculations for GS1 data structures": weights
    3 and 1 from the right, the sum with the check digit a multiple of 10.
    """
    if len(gtin) not in _GTIN_LENGTHS or not (gtin.isascii() and gtin.isdigit()):
        return False
    weighted = (int(digit) * (3 if place % 2 else 1) for place, digit in enumerate(reversed(gtin)))
    return sum(weighted) % 10 == 0


def is_date(text: str) -> bool:
    """Whether this is a year, a month or a day as ISO 8601 writes them (4, 7 or 10 characters)."""
    if not re.fullmatch(r"[0-9]{4}(-[0-9]{2}){0,2}", text):
        return False
    try:
        date.fromisoformat(text + "-01-01"[len(text) - 4 :])
    except ValueError:
        return False
    return True
