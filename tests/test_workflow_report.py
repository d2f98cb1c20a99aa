"""The report: one page that needs nothing else, every figure drawn, in a real browser too."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path
from typing import Literal
from xml.etree import ElementTree

import pytest
from playwright.sync_api import Browser

from arsis.plan.model import Finish, Pass, Section, Song
from arsis.render.ear import SectionTook
from arsis.render.took import Took
from arsis.report.contour_figure import FRAME
from arsis.report.facts import print_warnings
from arsis.settings import Limiter
from arsis.workflow.report import song_report
from arsis.workflow.revisions import keep
from tests.releases import RATE_HZ, UNTOUCHED, SmallRelease, make_release, music, write

VOID = {"meta", "link", "br", "hr", "img", "input"}


@pytest.fixture(scope="module")
def page_path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The page of a print whose limiter works and has something to warn of."""
    release = make_release(tmp_path_factory.mktemp("report") / "nocturnes")
    release.change("gain_db = 0.0", "gain_db = 6.0")
    return song_report(release.plan).out


@pytest.fixture(scope="module")
def page(page_path: Path) -> str:
    return page_path.read_text(encoding="utf-8")


class Balanced(HTMLParser):
    """Every element is closed in its order; texts and attributes are collected."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.texts: list[str] = []
        self.addresses: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag not in VOID:
            self.open.append(tag)
        self.addresses += [
            value or "" for name, value in attrs if name in ("src", "href", "srcset", "action")
        ]

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        pass

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] not in ("style", "pre"):
            self.texts.append(data)


def test_the_page_is_whole_and_fetches_nothing(page: str) -> None:
    read = Balanced()
    read.feed(page)
    assert read.open == []
    assert read.addresses == []
    assert not re.search(r"@import|url\((?!#)|<script|<iframe|<link", page)
    outside = set(re.findall(r"https?://[^\s\"'<]+", page))
    assert outside <= {"http://www.w3.org/2000/svg"}  # a name, not an address


def test_no_number_is_missing(page: str) -> None:
    read = Balanced()
    read.feed(page)
    for text in read.texts:
        assert not re.search(r"\b(nan|inf|None|NaN)\b|Infinity|[<{]built-in", text), text


def test_every_figure_is_well_formed_with_numbers_in_it(page: str) -> None:
    figures = re.findall(r"<svg.*?</svg>", page, re.DOTALL)
    # patterns, contour, loudness, took; a spectrum a section; a join each
    assert len(figures) == 4 + 4 + 3
    for text in figures:
        root = ElementTree.fromstring(text)
        assert not re.search(r"nan|inf", " ".join(_numbers(root)), re.IGNORECASE)
        if root.get("viewBox"):
            assert root.get("aria-label")


def _numbers(root: ElementTree.Element) -> Iterator[str]:
    for element in root.iter():
        yield from (
            element.get(key, "") for key in ("x", "y", "x1", "x2", "y1", "y2", "d", "width", "height")
        )


def test_the_page_tells_what_was_done(page: str) -> None:
    for words in ("Small Hours", "The Lamps, Nocturnes", "not kept yet", "refrain 1", "left alone"):
        assert words in page
    assert "the limiter takes up to" in page
    assert re.search(r"It took up to \d+\.\d dB, at 0:0\d\.\d; at work \d+ % of the time", page)
    assert "small-hours-bridge.wav" in page


def test_the_page_names_the_revision_that_the_plan_is_in(release: SmallRelease) -> None:
    def said() -> str:
        return song_report(release.plan).out.read_text(encoding="utf-8")

    keep(release.plan, "first")
    assert "· revision 1 ·" in said()
    release.change("ride_db = 0.4", "ride_db = 0.9")
    assert "· changed since revision 1 ·" in said()
    keep(release.plan, "second")
    release.change("ride_db = 0.9", "ride_db = 0.4")
    assert "· revision 1 ·" in said()


def test_a_warning_names_the_worst_and_counts_the_rest() -> None:
    names = [f"part {i}" for i in range(12)]
    song = Song(
        title="Long",
        mix="mixes/long.wav",
        section=tuple(Section(name=name, start_s=float(i), pass_="A") for i, name in enumerate(names)),
        pass_={"A": Pass()},
        finish=Finish(limiter=Limiter(most_db=1.0)),
    )
    took = [SectionTook(0.1, 0.5 + 0.25 * i, 0.1, None) for i in range(12)]
    whole = Took(0.1, 3.25, 0.1, 11.5)
    (said,) = print_warnings(song, took, whole, [None] * 12, (), -1.0)
    assert said.startswith(
        "the limiter takes up to 3.2 dB (at 0:11.5), 2.2 dB past its most_db of 1.0: part 11 3.2"
    )
    assert said.endswith("part 4 1.5 dB, and 1 more")  # nine are over, eight are named
    (close,) = print_warnings(song, took, Took(0.1, 1.004, 0.1, 0.0), [None] * 12, (), -1.0)
    assert "0.004 dB past" in close


def test_a_name_that_has_no_room_is_left_to_the_table(release: SmallRelease) -> None:
    name = "through the old desk and back again"
    release.change('pass = "B"', f'pass = "{name}"')
    release.change("[pass.B]", f'[pass."{name}"]')
    release.change("start_s = 4.000000", "start_s = 3.000000")  # a second of seven has no room for it
    page = song_report(release.plan).out.read_text(encoding="utf-8")
    assert not re.search(r'class="letter"[^>]*>through', page)
    assert f"<td>{name}</td>" in page


def test_a_drawn_ride_is_told(release: SmallRelease) -> None:
    points = "".join(f"[[ride]]\ntime_s = {1.0 + i}\ngain_db = {0.5 * i}\n" for i in range(2))
    release.change("[finish]", f"{points}[finish]")
    page = song_report(release.plan).out.read_text(encoding="utf-8")
    assert "drawn by hand: 0.0 dB at 0:01.0, +0.5 dB at 0:02.0" in page


def test_a_finish_without_a_limiter_is_not_said_to_have_rested(release: SmallRelease) -> None:
    assert "no peak came near the ceiling" in song_report(release.plan).out.read_text(encoding="utf-8")
    release.set_plan(UNTOUCHED)
    page = song_report(release.plan).out.read_text(encoding="utf-8")
    assert "The finish has no limiter." in page
    assert "no peak came near" not in page


def test_no_curve_meets_the_steps(release: SmallRelease) -> None:
    """A loud moment in a quiet section stands far over its plateau: the axis makes room for it."""
    mix = 0.02 * music(7.0)
    mix[:, 2 * RATE_HZ + 300 : 2 * RATE_HZ + 26_000] *= 30.0
    write(release.mix, mix)
    release.set_plan(UNTOUCHED)
    page = song_report(release.plan).out.read_text(encoding="utf-8")
    (breath,) = re.findall(r'<path d="M([^"]*)" class="breath"', page)
    assert min(float(point.split()[1]) for point in breath.split("L")) >= FRAME.top


def test_hostile_words_stay_words(release: SmallRelease) -> None:
    release.change('"Small Hours"', '"<script>alert(1)</script> & \\"more\\""')
    release.change('name = "bridge"', 'name = "<b>bridge</b> & co"')
    made = song_report(release.plan).out.read_text(encoding="utf-8")
    assert "<script" not in made
    assert "<b>" not in made
    read = Balanced()
    read.feed(made)
    assert read.open == []
    for text in re.findall(r"<svg.*?</svg>", made, re.DOTALL):
        ElementTree.fromstring(text)


def test_the_same_page_again(release: SmallRelease) -> None:
    first = song_report(release.plan).out.read_bytes()
    assert song_report(release.plan).out.read_bytes() == first


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [1_280, 2_560])
def test_a_browser_shows_it(
    browser: Browser, page_path: Path, width: int, scheme: Literal["light", "dark"]
) -> None:
    page = browser.new_page(viewport={"width": width, "height": 900}, color_scheme=scheme)
    said: list[str] = []
    asked: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.on("request", lambda request: asked.append(request.url))
    page.goto(page_path.as_uri())
    assert said == []
    assert asked == [page_path.as_uri()]
    boxes = page.eval_on_selector_all(
        "svg[viewBox]", "all => all.map(one => [one.clientWidth, one.clientHeight])"
    )
    assert len(boxes) == 10
    assert all(w >= 200 and h >= 80 for w, h in boxes), boxes
    assert page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth")
    ink, paper = page.evaluate(
        "[getComputedStyle(document.body).color, getComputedStyle(document.body).backgroundColor]"
    )
    assert (_bright(paper) > _bright(ink)) == (scheme == "light")
    page.close()


def test_paper_holds_all_of_it(browser: Browser, page_path: Path) -> None:
    """An A4 page has no way to scroll: no table is wider than it, and the plan is there."""
    page = browser.new_page(viewport={"width": 718, "height": 1_046}, color_scheme="dark")
    page.emulate_media(media="print")
    page.goto(page_path.as_uri())
    widths = page.eval_on_selector_all("table, pre, svg[viewBox]", "all => all.map(one => one.scrollWidth)")
    assert max(widths) <= 718, widths
    assert page.evaluate("document.querySelector('pre').clientHeight") > 200
    paper = page.evaluate("getComputedStyle(document.body).backgroundColor")
    assert _bright(paper) > 600.0
    page.close()


def _bright(colour: str) -> float:
    return sum(float(part) for part in re.findall(r"[\d.]+", colour)[:3])
