"""The page of the plan says what the declarations say: every key, unit, bound and default."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from arsis.plan.codec import parse_release, parse_song
from arsis.plan.declared import Declared, bounds_in_words, declared, in_words, kind_of
from arsis.plan.layout import value
from arsis.plan.model import (
    Between,
    Finish,
    Join,
    Pass,
    Release,
    ReleaseSong,
    ReleaseVersion,
    RidePoint,
    Section,
    Song,
    Version,
    VersionPrint,
)
from arsis.settings import PROCESSORS, Limiter

PAGE = (Path(__file__).parent.parent / "docs" / "plan.md").read_text()
TABLES = {
    "The song": Song,
    "`[[version]]`": Version,
    "`print` of a version": VersionPrint,
    "`[[section]]`": Section,
    "`join`": Join,
    "`[pass.NAME]`": Pass,
    "`[[ride]]`": RidePoint,
    "`[finish]`": Finish,
    "`limiter`": Limiter,
    "The release": Release,
    "`[[song]]`": ReleaseSong,
    "`between`": Between,
    "`[[song.version]]`": ReleaseVersion,
} | {f"`{kind_of(kind)}`": kind for kind in PROCESSORS}


def row(one: Declared) -> str:
    """The line of one key in its table."""
    about = f"; {one.about}" if one.about else ""
    default = "must be given" if one.required or one.key in ("section", "pass") else "none"
    if not one.required and one.shape == "value" and one.default is not None:
        default = f"`{value(one.key, one.default)}`"
    elif one.shape == "list" and one.key != "section":
        default = "empty"
    return f"| `{one.key}` | {in_words(one)}{about} | {default} |"


@pytest.mark.parametrize(("heading", "kind"), TABLES.items(), ids=list(TABLES))
def test_a_table_of_the_page_has_every_key_as_it_is_declared(heading: str, kind: type) -> None:
    [section] = re.findall(rf"^#+ {re.escape(heading)}\n(.*?)(?=^#|\Z)", PAGE, re.MULTILINE | re.DOTALL)
    written = [line for line in section.splitlines() if line.startswith("| `")]
    assert written == [row(one) for one in declared(kind).values() if one.key != "kind" or one.words[1:]]


def test_every_example_of_the_page_can_be_read() -> None:
    plan, release = re.findall(r"```toml\n(.*?)```", PAGE, re.DOTALL)
    assert parse_song(plan).title == "Low Water"
    assert parse_release(release).title == "Tide Tables"


def test_bounds_in_words() -> None:
    assert bounds_in_words(declared(Finish)["gain_db"]) == "from -24 to 24 dB"
    assert bounds_in_words(declared(Section)["start_s"]) == "of at least 0 s"
