"""The whole job on the page, in one sitting: what an engineer does, and what stands on disk after it."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator

import numpy as np
import pytest
import soundfile
from playwright.sync_api import Browser, Page, expect

from arsis.plan.codec import read_song
from arsis.workflow.print import print_song
from tests.desk.served import Served
from tests.releases import RATE_HZ, SmallRelease

from .ear import CATCH_GRAPH, PLAYER, STATE, Ear, assert_as_expected, open_ear

PLAN = """\
schema = 1
title = "Small Hours"
mix = "mixes/small-hours.wav"

# Marked by ear.
[[section]]
name = "verse 1"
kind = "verse"
start_s = 0.000000
pass = "A"

[[section]]
name = "refrain 1"
kind = "chorus"
start_s = 2.000000
pass = "A"

[[section]]
name = "verse 2"
kind = "verse"
start_s = 4.000000
pass = "A"

[pass.A]
note = "left alone"
chain = []

[finish]
limiter = { ceiling_dbtp = -1.0, lookahead_ms = 3.0, release_ms = 120.0, most_db = 1.5 }
"""
TRIALS = 3


@pytest.fixture
def release(release: SmallRelease) -> SmallRelease:
    release.set_plan(PLAN)
    return release


@pytest.fixture
def page(browser: Browser, desk: Served) -> Iterator[Page]:
    with browser.new_context(viewport={"width": 1280, "height": 720}, accept_downloads=True) as context:
        context.add_init_script(CATCH_GRAPH)
        opened = context.new_page()
        faults: list[str] = []
        opened.on("pageerror", lambda fault: faults.append(str(fault)))
        opened.goto(desk.address)
        opened.get_by_role("slider", name="start of refrain 1").wait_for()
        yield opened
        assert not faults


def test_a_song_gets_its_second_pass_is_heard_and_printed(page: Page, release: SmallRelease) -> None:
    ear = open_ear(page)
    moved_s = a_boundary_moves(page, release)
    a_second_pass_gets_a_bell(page, release)
    the_join_is_looped_and_heard(ear, release, moved_s)
    it_is_compared_blind(page)
    page.get_by_role("button", name="stop", exact=True).click()
    assert ear.signal(PLAYER, "missed") == 0
    the_print_is_taken_away(page, release)
    everything_is_taken_back(page, release)


def settle(page: Page) -> None:
    page.wait_for_function("([state]) => window.modules[state].settled()", arg=[STATE])


def a_boundary_moves(page: Page, release: SmallRelease) -> float:
    riser = page.get_by_role("slider", name="start of refrain 1")
    box = riser.bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + 40
    page.mouse.move(x, y)
    page.mouse.down()
    page.keyboard.down("Alt")
    page.mouse.move(x + 30, y, steps=4)
    page.mouse.up()
    page.keyboard.up("Alt")
    settle(page)
    start_s = read_song(release.plan).section[1].start_s
    assert start_s == pytest.approx(2.0 + 30 * 7.0 / 1_118, abs=0.02)
    return start_s


def a_second_pass_gets_a_bell(page: Page, release: SmallRelease) -> None:
    page.get_by_role("button", name="passes …").click()
    page.get_by_role("button", name="new pass, empty").click()
    page.get_by_role("button", name="give refrain 1 to pass B").click()
    page.locator("#chain").get_by_label("new", exact=True).select_option("bell")
    page.locator("#chain").get_by_role("button", name="put in").click()
    line = page.locator("#chain ol > li").first
    for name, value in (("frequency", "3200"), ("gain", "4.5")):
        field = line.get_by_role("spinbutton", name=name)
        field.fill(value)
        field.press("Enter")
    settle(page)
    song = read_song(release.plan)
    assert [one.pass_ for one in song.section] == ["A", "B", "A"]
    (bell,) = song.pass_["B"].chain
    assert (bell.kind, bell.freq_hz, bell.gain_db) == ("bell", 3_200.0, 4.5)


def the_join_is_looped_and_heard(ear: Ear, release: SmallRelease, start_s: float) -> None:
    """What reaches the ear round the join, both passes and their fade in it, is what `arsis print` writes."""
    page = ear.page
    sections = page.get_by_role("group", name="sections")
    sections.get_by_role("button", name=re.compile("^refrain 1")).click()
    page.get_by_role("button", name="this join").click()
    ear.play()
    version = page.evaluate(f"() => window.modules['{STATE}'].doc.value.version")
    ear.wait_for(STATE, "shape", f"value?.version === {version}")
    sounds = ear.signal(STATE, "sounds")["sounds"]
    key = next(one["key"] for one in sounds if one["id"] == "print")
    ear.wait_for(PLAYER, "heard", f"value?.parts[0].key === {json.dumps(key)}")
    ear.taken()
    page.wait_for_timeout(4_300)
    heard = ear.taken()
    made = print_song(release.plan, out=release.folder / "prints" / "heard.wav").out
    sound, rate_hz = soundfile.read(made, dtype="float32", always_2d=True)
    assert rate_hz == RATE_HZ
    assert assert_as_expected(heard, {key: np.ascontiguousarray(sound.T)}) > 2 * RATE_HZ
    turns = [turn["position"] for turn in heard.turns]
    assert any(abs(at - (start_s - 2.0) * RATE_HZ) < 0.1 * RATE_HZ for at in turns)


def it_is_compared_blind(page: Page) -> None:
    page.get_by_role("button", name="compare blind").click()
    form = page.get_by_role("form", name="blind comparison")
    form.get_by_label("trials").fill(str(TRIALS))
    form.get_by_role("button", name="begin").click()
    for _ in range(TRIALS):
        assert page.locator("#hear").get_by_role("radio").count() == 2
        page.get_by_role("button", name="it is").first.click()
    expect(page.get_by_text("By guessing alone")).to_contain_text(f"of {TRIALS} right")
    page.get_by_role("button", name="done", exact=True).click()


def the_print_is_taken_away(page: Page, release: SmallRelease) -> None:
    page.get_by_role("navigation", name="panels").get_by_role("button", name="print").click()
    page.locator("#side form").get_by_role("button", name="print", exact=True).click()
    with page.expect_download() as download:
        page.get_by_role("link", name=re.compile("small-hours.wav")).click()
    expected = print_song(release.plan, out=release.folder / "prints" / "by-hand.wav").out
    assert download.value.path().read_bytes() == expected.read_bytes()
    assert "dBTP" in page.locator("#side").inner_text()


def everything_is_taken_back(page: Page, release: SmallRelease) -> None:
    while page.get_by_role("button", name="take back").is_enabled():
        page.locator("body").press("Control+z")
        settle(page)
        page.wait_for_timeout(100)
    assert release.plan.read_text(encoding="utf-8") == PLAN
