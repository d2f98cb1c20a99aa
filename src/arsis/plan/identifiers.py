"""The identifiers and the date of a recording and of a release, checked by their own rules."""

from __future__ import annotations

import re
from datetime import date

# ISO 3901:2019: prefix of two letters and three letters or digits, two of the year, five more.
_ISRC = re.compile(r"[A-Z]{2}[A-Z0-9]{3}[0-9]{7}")
_GTIN_LENGTHS = (8, 12, 13, 14)


def plain_isrc(isrc: str) -> str:
    """An ISRC as it is stored: twelve characters, in capitals, without what it may be shown with.

    ISRC Agency Bulletin 2015/01: a leading `ISRC`, hyphens and spaces are for the eye, small letters count
    as capitals. `ISRC` may also be how a code begins (Iceland, registrant RC…): the length tells.
    """
    plain = isrc.replace("-", "").replace(" ", "")
    if plain.isascii():  # ß would become two letters
        plain = plain.upper()
    return plain[4:] if len(plain) == 16 and plain.startswith("ISRC") else plain


def is_isrc(isrc: str) -> bool:
    """Whether this is an International Standard Recording Code (ISO 3901:2019), shown in any usual way."""
    return _ISRC.fullmatch(plain_isrc(isrc)) is not None


def shown_isrc(isrc: str) -> str:
    """An ISRC as ISO 3901:2019 shows it: `ISRC AA-6Q7-20-00047`."""
    plain = plain_isrc(isrc)
    return f"ISRC {plain[:2]}-{plain[2:5]}-{plain[5:7]}-{plain[7:]}"


def gtin_13(gtin: str) -> str | None:
    """A trade item number in the 13 digits of an EAN-13; None where it has no such form.

    GS1 General Specifications: the 12 digits of a UPC-A are those of an EAN-13 after a 0.
    """
    digits = gtin.zfill(14)
    return digits[1:] if len(gtin) > 8 and digits[0] == "0" else None


def is_gtin(gtin: str) -> bool:
    """Whether this is a Global Trade Item Number with a right check digit.

    GS1 General Specifications, "Standard check digit calculations for GS1 data structures": weights
    3 and 1 from the right, the sum with the check digit a multiple of 10.
    """
    return has_gtin_form(gtin) and gtin[-1] == check_digit(gtin[:-1])


def has_gtin_form(gtin: str) -> bool:
    """Whether this is as many digits as such a number has, whatever the last of them is."""
    return len(gtin) in _GTIN_LENGTHS and gtin.isascii() and gtin.isdigit()


def check_digit(digits: str) -> str:
    """The last digit of a trade item number, from those before it; source as in `is_gtin`."""
    weighted = (int(digit) * (1 if place % 2 else 3) for place, digit in enumerate(reversed(digits)))
    return str(-sum(weighted) % 10)


def is_date(text: str) -> bool:
    """Whether this is a year, a month or a day as ISO 8601 writes them (4, 7 or 10 characters)."""
    if not re.fullmatch(r"[0-9]{4}(-[0-9]{2}){0,2}", text):
        return False
    try:
        date.fromisoformat(text + "-01-01"[len(text) - 4 :])
    except ValueError:
        return False
    return True
