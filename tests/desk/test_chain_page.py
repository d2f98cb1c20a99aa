"""The chain on the page, by mouse and by keyboard, against the plan on disk."""

from __future__ import annotations

import re
import time
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from playwright.sync_api import Locator, Page, expect

from arsis.plan.codec import read_song
from arsis.plan.model import Song
from arsis.settings import PROCESSORS, Bell, Gain, Limiter, LowShelf
from arsis.workflow.response import chain_response
from tests.desk.conftest import AXE
from tests.desk.served import Served
from tests.releases import RATE_HZ, SmallRelease

SETTLED = """async () => {
  const [state, change] = await Promise.all([import("/state.js"), import("/chain/change.js")]);
  while (!state.settled() || change.held.value) await new Promise((done) => setTimeout(done, 10));
}"""
DRAWN = """() => {
  const svg = document.querySelector("#chain svg");
  const lines = [...svg.querySelectorAll("line.grid")];
  const [bottom, , , top] = lines.map((one) => Number(one.getAttribute("y1")));
  return { path: svg.querySelector("path.whole").getAttribute("d"), top, bottom };
}"""


@pytest.fixture
def plan(release: SmallRelease) -> Callable[[], Song]:
    """The plan as it is on disk now."""
    return lambda: read_song(release.plan)


@pytest.fixture
def chain(page: Page) -> Locator:
    """Pass B on the page."""
    choose(page, "B")
    return page.locator("#chain")


def choose(page: Page, name: str | None) -> None:
    page.wait_for_selector("#chain .chain")
    page.evaluate("name => import('/state.js').then((state) => state.choose({ pass: name }))", name)
    expect(page.locator("#chain h2")).to_have_text("the finish" if name is None else f"pass {name}")


def settle(page: Page) -> None:
    """Until every edit has reached the plan."""
    page.evaluate(SETTLED)


def told(page: Page) -> str:
    """The messages of the page."""
    messages = "import('/state.js').then((state) => state.notices.value.map((one) => one.text))"
    return " ".join(page.evaluate(messages))


def edits(page: Page) -> list[dict[str, Any]]:
    """What is sent from now on."""
    sent: list[dict[str, Any]] = []
    page.on("request", lambda one: sent.append(one.post_data_json) if one.url.endswith("/edits") else None)
    return sent


def link(chain: Locator, place: int) -> Locator:
    return chain.locator("ol > li").nth(place)


def test_a_slider_is_heard_on_its_way_and_is_one_step(page: Page, chain: Locator, plan: Any) -> None:
    sent = edits(page)
    link(chain, 1).get_by_role("button", name="low shelf", exact=True).click()
    slider = link(chain, 1).get_by_role("slider", name="gain, slider")
    box = slider.bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    page.mouse.down()
    begun = time.monotonic()
    for step in range(40):
        page.mouse.move(box["x"] + box["width"] * (0.5 + step / 100), box["y"] + box["height"] / 2)
        page.wait_for_timeout(10)
    page.mouse.up()
    took_s = time.monotonic() - begun
    settle(page)
    shelf = plan().pass_["B"].chain[1]
    assert isinstance(shelf, LowShelf)
    assert 3.0 < shelf.gain_db < 6.0
    assert (shelf.freq_hz, shelf.q) == (95.0, 0.7)
    assert len({one["gesture"] for one in sent}) == 1
    assert 3 <= len(sent) <= took_s / 0.08 + 2  # at most one in 80 ms, and the last
    assert sent[-1]["args"]["processor"]["gain_db"] == shelf.gain_db
    assert sent[0]["label"] == "pass B: low shelf, gain"
    page.get_by_role("button", name="take back").click()
    expect(link(chain, 1).get_by_label("gain", exact=True)).to_have_value("0.7")
    before = plan().pass_["B"].chain[1]
    assert before == LowShelf(freq_hz=95.0, gain_db=0.7)


def test_a_frequency_moves_evenly_in_octaves_and_is_read_out(page: Page, chain: Locator, plan: Any) -> None:
    link(chain, 1).get_by_label("frequency", exact=True).focus()
    slider = link(chain, 1).get_by_role("slider", name="frequency, slider")
    expect(slider).to_have_attribute("aria-valuetext", "95 Hz")
    slider.focus()
    page.keyboard.press("PageUp")
    settle(page)
    once = plan().pass_["B"].chain[1].freq_hz
    page.keyboard.press("PageUp")
    settle(page)
    twice = plan().pass_["B"].chain[1].freq_hz
    assert twice / once == pytest.approx(once / 95.0, rel=0.02)
    expect(slider).to_have_attribute("aria-valuetext", f"{twice:g} Hz")


def test_a_number_is_typed_and_only_then_sent(page: Page, chain: Locator, plan: Any) -> None:
    sent = edits(page)
    field = link(chain, 1).get_by_label("frequency", exact=True)
    field.focus()
    field.press("Control+a")
    field.press_sequentially("120")
    page.wait_for_timeout(200)
    assert sent == []
    field.press("Enter")
    settle(page)
    assert plan().pass_["B"].chain[1].freq_hz == 120.0
    field.fill("3")
    field.press("Enter")
    expect(field).to_have_value("120")
    assert "frequency: a number from 5 to 40000 Hz is allowed" in told(page)
    field.press_sequentially("77")
    field.press("Escape")
    expect(field).to_have_value("120")
    field.press("Control+a")
    field.press_sequentially("120")  # the same again: the browser tells of no change
    field.press("Tab")
    settle(page)
    field.focus()
    field.hover()
    page.mouse.wheel(0, 100)  # the list is scrolled, the setting stays
    page.wait_for_timeout(100)
    expect(field).to_have_value("120")
    assert len(sent) == 1


def test_a_chain_is_built_by_keyboard_alone(page: Page, chain: Locator, plan: Any) -> None:
    kind = chain.get_by_label("new", exact=True)
    kind.focus()
    kind.select_option("bell")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    expect(link(chain, 2).get_by_label("frequency", exact=True)).to_be_focused()
    page.keyboard.press("Control+a")
    page.keyboard.type("3200")
    page.keyboard.press("Tab")
    settle(page)
    assert plan().pass_["B"].chain[2] == Bell(freq_hz=3_200.0)
    link(chain, 2).get_by_role("button", name="bell earlier").focus()
    page.keyboard.press("Enter")
    settle(page)
    expect(link(chain, 1).get_by_role("button", name="bell earlier")).to_be_focused()
    page.keyboard.press("Enter")
    settle(page)
    expect(link(chain, 0).get_by_role("button", name="bell later")).to_be_focused()  # it can go no further
    assert [type(one) for one in plan().pass_["B"].chain] == [Bell, Gain, LowShelf]
    link(chain, 0).get_by_role("button", name="remove bell").focus()
    page.keyboard.press("Space")
    settle(page)
    assert [type(one) for one in plan().pass_["B"].chain] == [Gain, LowShelf]
    expect(link(chain, 0).get_by_role("button", name="gain", exact=True)).to_be_focused()


def test_bypass_keeps_the_processor_and_takes_its_curve(page: Page, chain: Locator, plan: Any) -> None:
    expect(chain.locator("svg path.each")).to_have_count(2)
    box = link(chain, 0).get_by_label("bypass")
    box.check()
    settle(page)
    assert plan().pass_["B"].chain[0] == Gain(gain_db=0.6, bypass=True)
    expect(chain.locator("svg path.each, svg path.one")).to_have_count(1)
    expect(link(chain, 0).get_by_role("group")).to_have_accessible_name("1: gain, bypassed")
    link(chain, 0).get_by_role("button", name="gain", exact=True).focus()
    page.keyboard.press("x")
    settle(page)
    assert plan().pass_["B"].chain[0] == Gain(gain_db=0.6)


def test_words_are_chosen_and_notes_written(page: Page, chain: Locator, plan: Any) -> None:
    link(chain, 1).get_by_role("button", name="low shelf", exact=True).click()
    link(chain, 1).get_by_label("channel").select_option("mid")
    settle(page)
    note = chain.get_by_label("note")
    note.fill("refrains: weight")
    note.press("Enter")
    settle(page)
    assert plan().pass_["B"].chain[1].channel == "mid"
    assert plan().pass_["B"].note == "refrains: weight"
    expect(chain.locator("figcaption")).to_contain_text("middle thick, sides dashed")


def test_every_kind_can_be_put_in_and_set(page: Page, chain: Locator, plan: Any) -> None:
    """Controls come from the declarations alone: there are as many as the kind has settings."""
    kinds = (
        chain.get_by_label("new", exact=True)
        .locator("option")
        .evaluate_all("all => all.map((one) => one.value)")
    )
    assert len(kinds) == len(PROCESSORS)
    for one in kinds:
        chain.get_by_label("new", exact=True).select_option(one)
        chain.get_by_role("button", name="put in").click()
        settle(page)
    links = plan().pass_["B"].chain
    assert {type(one) for one in links} == set(PROCESSORS)
    for place, one in enumerate(links):
        link(chain, place).get_by_role("button").first.click()
        fields = link(chain, place).locator(".field")
        expect(fields).to_have_count(len(one.__dataclass_fields__) - 1)


def drawn_db(page: Page, span_db: float) -> np.ndarray:
    """Levels of the whole curve as it is drawn, at its own points."""
    drawn = page.evaluate(DRAWN)
    y = np.array([float(point.split()[1]) for point in re.split("[ML]", drawn["path"])[1:]])
    return span_db - 2.0 * span_db * (y - drawn["top"]) / (drawn["bottom"] - drawn["top"])


def test_the_curve_on_the_page_is_the_chains(page: Page, chain: Locator, plan: Any) -> None:
    chain.locator("svg path.whole").wait_for()
    told = chain_response(plan().pass_["B"].chain, RATE_HZ, 2)
    shown = told.freq_hz >= 20.0 * 0.99
    np.testing.assert_allclose(drawn_db(page, 3.0), told.wholes[0].db[shown], rtol=0, atol=0.05)
    expect(chain.locator("svg")).to_have_accessible_name(
        re.compile(r"response: from \+0\.6 dB at .* to \+1\.3 dB at .* Hz")
    )
    expect(chain.locator("svg path.before")).to_have_count(1)
    expect(chain.locator("figcaption")).to_contain_text("spectrum of refrain 1")


def test_the_finish_has_its_gain_its_limiter_and_its_dither(page: Page, chain: Locator, plan: Any) -> None:
    chain.get_by_role("button", name="the finish").click()
    gain = chain.get_by_role("group", name="gain").get_by_label("gain", exact=True)
    gain.fill("1.5")
    gain.press("Enter")
    limiter = chain.get_by_role("group", name="limiter")
    limiter.get_by_label("ceiling", exact=True).fill("-0.5")
    limiter.get_by_label("ceiling", exact=True).press("Enter")
    chain.get_by_label("dither").select_option("none")
    settle(page)
    assert (plan().finish.gain_db, plan().finish.dither) == (1.5, "none")
    assert plan().finish.limiter == Limiter(ceiling_dbtp=-0.5)
    limiter.get_by_role("button", name="take out").click()
    settle(page)
    assert plan().finish.limiter is None
    limiter.get_by_role("button", name="put in").click()
    settle(page)
    assert plan().finish.limiter == Limiter()
    expect(chain.locator("figcaption")).to_contain_text(
        "spectrum of the song: before after, into the limiter"
    )
    page.keyboard.press("h")
    expect(chain.locator("h2")).to_have_text("pass B")


def test_a_pass_printed_elsewhere_has_no_chain(page: Page, chain: Locator) -> None:
    choose(page, "C")
    expect(chain).to_contain_text("Printed elsewhere: prints/small-hours-bridge.wav")
    expect(chain.get_by_role("button", name="put in")).to_have_count(0)


def test_a_processor_that_another_page_set_meanwhile_is_not_written_over(
    page: Page, chain: Locator, plan: Any, desk: Served
) -> None:
    page.route("**/api/events", lambda route: route.abort())  # this page hears no news
    page.reload()
    choose(page, "B")
    other = page.context.new_page()
    other.goto(desk.address)
    choose(other, "B")
    theirs = other.locator("#chain ol > li").nth(0).get_by_label("gain", exact=True)
    theirs.fill("2")
    theirs.press("Enter")
    settle(other)
    mine = link(chain, 0).get_by_label("gain", exact=True)
    mine.fill("-3")
    mine.press("Enter")
    settle(page)
    assert plan().pass_["B"].chain[0] == Gain(gain_db=2.0)
    expect(mine).to_have_value("2")
    assert "has changed meanwhile" in told(page)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_serious_in_an_open_chain(page: Page, chain: Locator, scheme: Any) -> None:
    page.emulate_media(color_scheme=scheme)
    for name in ("B", None):
        choose(page, name)
        if name:
            link(chain, 1).get_by_role("button").first.click()
        page.evaluate(AXE.read_text())
        found = page.evaluate("axe.run('#chain')")
        assert [one["id"] for one in found["violations"] if one["impact"] in ("serious", "critical")] == []


@pytest.mark.parametrize(("width", "numbers"), [(1024, 8), (1920, 10)])
def test_the_numbers_of_the_axis_stand_apart(page: Page, chain: Locator, width: int, numbers: int) -> None:
    page.set_viewport_size({"width": width, "height": 700})
    told = chain.locator("svg text.axis[text-anchor=middle]")
    expect(told).to_have_count(numbers)
    edges = told.evaluate_all(
        "all => all.map((one) => one.getBoundingClientRect()).flatMap((r) => [r.left, r.right])"
    )
    assert min(np.diff(edges)[1::2]) >= 3.0
