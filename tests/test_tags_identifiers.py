"""ISRC and GTIN as they may be shown, by the published examples."""

from __future__ import annotations

import pytest

from arsis.plan.identifiers import check_digit, gtin_13, is_gtin, is_isrc, plain_isrc, shown_isrc


def test_the_display_form() -> None:
    """ISO 3901:2019 and ISRC Agency Bulletin 2015/01, whose two codes are given to nobody."""
    assert shown_isrc("AA6Q72000047") == "ISRC AA-6Q7-20-00047"
    assert shown_isrc("jm-k40-14-00212") == "ISRC JM-K40-14-00212"


@pytest.mark.parametrize(
    "shown",
    ["AA6Q72000047", "ISRC AA-6Q7-20-00047", "ISRCAA6Q72000047", "aa6q72000047", "isrc aa 6q7 20 00047"],
)
def test_every_usual_way_to_show_it(shown: str) -> None:
    """The handbook: `ISRC`, hyphens and spaces go, small letters count as capitals."""
    assert plain_isrc(shown) == "AA6Q72000047"
    assert is_isrc(shown)


def test_a_code_may_begin_with_isrc() -> None:
    """Iceland (IS), registrant RC1."""
    assert plain_isrc("ISRC12000001") == plain_isrc("ISRC IS-RC1-20-00001") == "ISRC12000001"
    assert is_isrc("IS-RC1-20-00001")


def test_what_is_no_code() -> None:
    for bad in (
        "ISRC",
        "ISRC AA6Q7200004",
        "AA6Q7200004A",
        "A16Q72000047",
        "ßA6Q7200047",
        "AA6Q7٢000047",
        "\n" * 12,
    ):
        assert not is_isrc(bad)


@pytest.mark.parametrize(
    ("digits", "check"),
    [
        ("629104150021", "3"),
        ("730001100001", "7"),
        ("501001708843", "9"),
        ("03600024145", "7"),
        ("400638133393", "1"),
    ],
)
def test_check_digits(digits: str, check: str) -> None:
    """GS1 General Specifications and its published examples; the fourth is a UPC-A."""
    good = [str(last) for last in range(10) if is_gtin(digits + str(last))]
    assert good == [check] == [check_digit(digits)]


def test_a_upc_a_is_an_ean_13_after_a_0() -> None:
    assert gtin_13("036000241457") == "0036000241457"
    assert gtin_13("4006381333931") == gtin_13("04006381333931") == "4006381333931"
    assert is_gtin("0036000241457")
    assert gtin_13("73513537") is gtin_13("14006381333938") is None  # an EAN-8; a case of several
