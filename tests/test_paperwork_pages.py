"""The pages of the paperwork, read as one who gets them does: nothing claimed that no figure supports."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from arsis.deliver.paperwork.extra import Extra
from arsis.deliver.paperwork.figures import isrc_cell
from arsis.deliver.paperwork.write import sheets_of

from .paper_delivery import PaperDelivery, paper_delivery

ROOT = Path(__file__).parent.parent
ODD = '<b>&"'
ESCAPED = "&lt;b&gt;&amp;&#34;"


def sheets(made: PaperDelivery) -> dict[str, str]:
    """Every sheet but those on paper, by its name."""
    found = sheets_of(made.manifest, made.songs, made.release, made.profile, made.extra)
    return {path.rpartition("/")[2]: data.decode() for path, data in found.items()}


def sheet(made: PaperDelivery, name: str) -> str:
    return sheets(made)[name]


@pytest.fixture(scope="module")
def told() -> dict[str, str]:
    return sheets(paper_delivery())


@pytest.fixture(scope="module")
def bare() -> dict[str, str]:
    """Of a delivery of which nothing is known but its manifest and its plans."""
    return sheets(replace(paper_delivery(), extra=Extra()))


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


def test_the_gain_that_the_mixer_is_told_has_the_trim_among_the_songs_in_it() -> None:
    """2.5 dB in the plan of Low Water."""
    made = paper_delivery()
    first, *rest = made.release.song
    trimmed = replace(made.release, song=(replace(first, trim_db=-0.75), *rest))
    assert "2.50 dB of gain went into it" in " ".join(sheet(made, "notes-mixer.txt").split())
    note = " ".join(sheet(replace(made, release=trimmed), "notes-mixer.txt").split())
    assert "1.75 dB of gain went into it" in note


def test_sections_that_the_record_leaves_out_are_said_to_be_cut_off() -> None:
    """Of Low Water, whose sections begin at 0, 38.1, 84.25 and 106.9 s, from 38.095238 to 90 s."""
    made = paper_delivery()
    first, *rest = made.release.song
    trimmed = replace(made.release, song=(replace(first, from_s=38.095238, until_s=90.0), *rest))
    page = sheet(replace(made, release=trimmed), "recall.txt").split("PASS A")[0]
    cut = [line.split("  ")[0] for line in page.splitlines() if line.endswith("cut off")]
    assert cut == ["verse 1", "refrain 2"]
    assert "cut off" not in sheet(made, "recall.txt")


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


def test_the_mixer_is_asked_only_what_a_figure_gives_cause_to(told: dict[str, str]) -> None:
    _, low_water, nine_lamps, ebb_clock = re.split(r"^\d\d ", told["notes-mixer.txt"], flags=re.MULTILINE)
    assert "?" not in low_water
    assert "true peak −2.10 dBTP, sample peak −2.40 dBFS" in low_water
    assert "took 2.04 dB at most" in low_water
    assert nine_lamps.count("  ? ") == 2
    assert "reach full scale" in nine_lamps
    assert "has 24 bits and uses 16" in nine_lamps
    assert "was not limited" in nine_lamps
    assert "?" not in ebb_clock


def test_the_artist_is_told_how_much_louder_it_is(told: dict[str, str], bare: dict[str, str]) -> None:
    assert "up to 3.3 LU louder than the mixes" in " ".join(
        told["notes-artist.txt"].split()
    )  # −14.3 to −11.04
    assert "may be louder" in " ".join(bare["notes-artist.txt"].split())
    for sound in paper_delivery().manifest.sounds:
        assert sound.path in told["notes-artist.txt"]


def test_lossy_files_are_called_lossy() -> None:
    made = paper_delivery()
    said = sheets(replace(made, profile=replace(made.profile, container="mp3")))["notes-artist.txt"]
    assert "These files are lossy" in said
    assert "These files are lossy" not in sheets(made)["notes-artist.txt"]


def test_colours_of_a_page_can_be_read() -> None:
    """WCAG 2.2, 1.4.3: contrast of text at least 4.5 to 1; relative luminance as defined there."""
    style = (ROOT / "src/arsis/deliver/paperwork/templates/sheet.css").read_text(encoding="utf-8")
    roots = re.findall(r":root \{(.*?)\}", style, re.DOTALL)
    assert len(roots) == 3  # light, dark, paper
    for root in roots:
        colours = {name: _luminance(value) for name, value in re.findall(r"--(\w+): (#\w+)", root)}
        for name in ("ink", "soft", "edge", "warn"):
            low, high = sorted((colours[name], colours["paper"]))
            assert (high + 0.05) / (low + 0.05) >= 4.5, name


def _luminance(colour: str) -> float:
    digits = colour[1:] if len(colour) == 7 else "".join(2 * digit for digit in colour[1:])
    parts = [int(digits[i : i + 2], 16) / 255 for i in (0, 2, 4)]
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue
