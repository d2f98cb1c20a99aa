"""The pages of the paperwork, read as one who gets them does: nothing claimed that no figure supports."""

from __future__ import annotations

from dataclasses import replace

import pytest

from arsis.deliver.paperwork.figures import isrc_cell
from arsis.deliver.paperwork.write import sheets_of

from .paper_delivery import PaperDelivery, paper_delivery

ODD = '<b>&"'
ESCAPED = "&lt;b&gt;&amp;&#34;"


def sheet(made: PaperDelivery, name: str) -> str:
    return sheets_of(made.manifest, made.songs, made.release, made.profile, made.extra)[name].decode()


def taking(most_db: float) -> PaperDelivery:
    """The delivery, with a limiter that took so much of the first song."""
    made = paper_delivery()
    first = made.extra.of(1)
    assert first.whole is not None
    changed = replace(first, whole=replace(first.whole, max_db=most_db))
    return replace(made, extra=replace(made.extra, songs={**made.extra.songs, 1: changed}))


@pytest.mark.parametrize(
    ("most_db", "said"),
    [(0.0, "had nothing to do:"), (0.03, "took under 0.05 dB to"), (1.25, "took 1.25 dB at most to")],
)
def test_the_mixer_is_told_what_the_limiter_took_and_no_more(most_db: float, said: str) -> None:
    note = " ".join(sheet(taking(most_db), "notes-mixer.txt").split())
    low_water = note[note.index("01 Low Water") : note.index("02 Nine Lamps")]
    assert said in low_water
    assert low_water.count("The limiter") == 1


def test_the_last_section_ends_where_its_mix_does() -> None:
    """7 400 000 frames at 48 kHz are 154.166 667 s."""
    for name in ("recall.html", "recall.txt"):
        assert "2:34.166667" in sheet(paper_delivery(), name)


@pytest.mark.parametrize("name", ["track-sheet.html", "recall.html", "report.html"])
def test_a_title_is_text_on_every_page(name: str) -> None:
    made = paper_delivery()
    page = sheet(replace(made, manifest=replace(made.manifest, title=ODD, artist=ODD)), name)
    assert page.count(ESCAPED) >= 3  # the window's title, the heading, the artist
    assert "<b>&" not in page


def test_a_recording_code_stands_under_its_head_without_its_name() -> None:
    """The form is checked in test_tags_identifiers.py."""
    assert isrc_cell("AA6Q72000047") == "AA-6Q7-20-00047"
    assert isrc_cell(None) == "–"
