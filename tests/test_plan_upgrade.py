"""Old schemas are opened step by step. Schema 1 is the first, so the steps here are made up."""

from __future__ import annotations

import copy

import pytest

from arsis.errors import DocumentError
from arsis.plan import codec, upgrade
from arsis.plan.codec import parse_song
from arsis.plan.model import RELEASE_SCHEMA, SONG_SCHEMA
from arsis.plan.table import Table
from arsis.plan.upgrade import RELEASE_STEPS, SONG_STEPS, upgraded


def level_was_loudness(table: Table) -> Table:
    """Schema 1 to 2: a key renamed."""
    table["level_db"] = table.pop("loudness_db")
    return table


def level_was_one_for_all(table: Table) -> Table:
    """Schema 2 to 3: a value moved into every section."""
    level_db = table.pop("level_db")
    for section in table["section"]:
        section["ride_db"] = level_db
    return table


STEPS = (level_was_loudness, level_was_one_for_all)
OLDEST = {"schema": 1, "loudness_db": -1.0, "section": [{"name": "a"}, {"name": "b"}]}


def test_the_schema_is_the_number_of_steps_and_one() -> None:
    assert len(SONG_STEPS) + 1 == SONG_SCHEMA
    assert len(RELEASE_STEPS) + 1 == RELEASE_SCHEMA


def test_every_older_schema_goes_through_the_steps_it_lacks() -> None:
    newest = {"schema": 3, "section": [{"name": "a", "ride_db": -1.0}, {"name": "b", "ride_db": -1.0}]}
    between = {"schema": 2, "level_db": -1.0, "section": [{"name": "a"}, {"name": "b"}]}
    for table in (OLDEST, between, newest):
        before = copy.deepcopy(table)
        assert upgraded(table, STEPS).table == newest
        assert upgraded(table, STEPS).troubles == ()
        assert table == before


def test_a_newer_schema_is_left_alone_and_refused() -> None:
    result = upgraded({"schema": 4}, STEPS)
    assert result.too_new
    assert "a newer arsis" in result.troubles[0].allowed


@pytest.mark.parametrize("schema", [None, "1", True, 0, -1, 1.0])
def test_no_schema_is_a_trouble_and_the_rest_is_judged_as_the_newest(schema: object) -> None:
    table = {} if schema is None else {"schema": schema}
    result = upgraded(table, STEPS)
    assert (len(result.troubles), result.too_new, result.table["schema"]) == (1, False, 3)
    assert "from 1 to 3" in result.troubles[0].allowed


def test_an_old_plan_is_read_and_its_faults_have_their_old_lines(monkeypatch: pytest.MonkeyPatch) -> None:
    def title_was_name(table: Table) -> Table:
        table["title"] = table.pop("name")
        return table

    monkeypatch.setattr(codec, "SONG_STEPS", (title_was_name,))
    text = (
        'schema = 1\nname = "x"\nmix = "a.wav"\n[pass.A]\n[[section]]\nname = "s"\nstart_s = 0\npass = "A"\n'
    )
    song = parse_song(text)
    assert (song.title, song.schema) == ("x", 2)
    with pytest.raises(DocumentError, match=r"plan:6: section\[1\]\.nmae: found an unknown key"):
        parse_song(text.replace('name = "s"', 'nmae = "s"'))
    assert upgrade.SONG_STEPS == ()
