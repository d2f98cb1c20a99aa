"""The page's side in a real browser: printing, recall, records, and what it tells when something happens."""

from __future__ import annotations

import re
import signal
from collections.abc import Iterator
from pathlib import Path
from threading import Event
from typing import Any

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from arsis.advice.finding import Finding
from arsis.desk import orders
from arsis.plan.codec import read_song
from arsis.render.progress import Progress
from arsis.workflow.advise import Advised, Listened
from arsis.workflow.print import Printed, print_song
from arsis.workflow.revisions import revisions
from tests.desk.conftest import AXE
from tests.desk.test_serve import desk_process, free_port
from tests.releases import SmallRelease, music, write

expect.set_options(timeout=30_000)
PANELS = ("section", "print", "revisions", "advice", "records", "release")


def panel(page: Page, name: str) -> Locator:
    page.get_by_role("navigation", name="panels").get_by_role("button", name=name, exact=True).click()
    return page.locator("#side .panel")


def notice(page: Page, text: str | re.Pattern[str]) -> Locator:
    return page.locator(".notice").filter(has_text=text)


@pytest.fixture
def held(monkeypatch: pytest.MonkeyPatch) -> Iterator[Event]:
    """Prints stop half-way until this is set."""
    go = Event()
    print_plan = orders.print_plan

    def slowly(plan: Any, *, progress: Progress, **wish: Any) -> Printed:
        def come(done: int, total: int) -> None:
            progress(done, total)
            if 2 * done >= total:
                assert go.wait(60)
                progress(done, total)

        return print_plan(plan, progress=come, **wish)

    monkeypatch.setattr(orders, "print_plan", slowly)
    yield go
    go.set()


def test_a_mix_that_stops_the_work_is_told_with_what_was_found(
    page: Page, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What a hole means is no help to somebody who was not told of the hole."""
    hole = Finding(kind="holes", says="a hole of 2.0 ms", at_s=(1.0,), sure=0.9, means="Sound is missing.")

    def told(path: Path, wanted: object, progress: Progress) -> Listened:
        advised = Advised(file=str(path), mix=(hole,), advice=(), ask_mixer=(), leave=())
        return Listened(advised, read_song(path), "", {})

    monkeypatch.setattr(orders, "listen", told)
    here = panel(page, "advice")
    here.get_by_role("button", name="listen to the print").click()
    here.get_by_text("the mix (1)").click()
    expect(here).to_contain_text("a hole of 2.0 ms: 0:01.0. Sound is missing.")


def test_a_print_goes_on_while_the_page_is_read_anew(
    page: Page, release: SmallRelease, held: Event, tmp_path: Path
) -> None:
    panel(page, "print").get_by_role("button", name="print", exact=True).click()
    coming = page.get_by_role("progressbar", name="how far the print has come")
    expect(coming).to_be_visible()
    page.reload()
    panel(page, "print")
    expect(coming).to_be_visible()
    held.set()
    figures = page.get_by_role("region", name="the last print")
    expect(figures).to_be_visible()
    expect(notice(page, "print of Small Hours: done")).to_be_visible()
    made = print_song(release.plan, out=tmp_path / "print.wav")
    said = figures.inner_text()
    assert f"{made.integrated_lufs:.1f} LUFS".replace("-", "−") in said
    assert f"{made.true_peak_dbtp:.2f} dBTP".replace("-", "−") in said
    with page.expect_download() as download:
        figures.get_by_role("link", name="download small-hours.wav").click()
    assert download.value.path().read_bytes() == made.out.read_bytes()


def test_a_print_is_begun_and_stopped_by_key(page: Page, release: SmallRelease, held: Event) -> None:
    expect(page.locator("#side .panel h2")).to_be_visible()
    page.keyboard.press("Control+p")
    stop = page.get_by_role("button", name="stop the print")
    expect(page.locator(".coming")).to_contain_text("%")  # begun: what waits is stopped in other words
    stop.focus()
    with page.expect_response(lambda answer: answer.request.method == "DELETE"):
        page.keyboard.press("Enter")
    held.set()
    expect(notice(page, "print of Small Hours: stopped; nothing half-written is left")).to_be_visible()
    assert [one.name for one in (release.folder / "prints").iterdir()] == ["small-hours-bridge.wav"]


def test_the_report_opens_as_a_page_of_nobodys(page: Page) -> None:
    print_panel = panel(page, "print")
    print_panel.get_by_role("button", name="make a report").click()
    with page.context.expect_page() as opened:
        print_panel.get_by_role("link", name="open the report").click()
    expect(opened.value.get_by_role("heading", name="Small Hours")).to_be_visible()
    assert opened.value.evaluate("self.origin") == "null"


def test_states_are_kept_told_apart_and_gone_back_to(page: Page, release: SmallRelease) -> None:
    first = release.plan.read_bytes()
    expect(page.locator("#side .panel h2")).to_be_visible()
    page.keyboard.press("Control+s")
    expect(page.get_by_label("what this state is")).to_be_focused()
    page.keyboard.type("as it came")
    page.keyboard.press("Enter")
    kept = page.get_by_role("listitem").filter(has_text="as it came")
    expect(kept).to_contain_text("as it is now")
    release.change("ride_db = 0.4", "ride_db = 0.9")
    expect(kept).not_to_contain_text("as it is now")
    kept.get_by_role("button", name="what changed since revision 1").click()
    expect(kept.get_by_role("status")).to_contain_text("refrain 1")
    expect(kept.get_by_role("status")).to_contain_text("0.9")
    kept.get_by_role("button", name="go back to revision 1").click()
    expect(kept).to_contain_text("as it is now")
    assert release.plan.read_bytes() == first
    assert revisions(release.plan)[0].note == "as it came"


def test_a_broken_plan_is_told_by_line_and_can_be_written_over(page: Page, release: SmallRelease) -> None:
    expect(page.locator("#side .panel h2")).to_be_visible()
    good = release.plan.read_bytes()
    release.change("ride_db = 0.4", "ride_dp = 0.4")
    told = notice(page, "songs/small-hours.toml:17: section[2].ride_dp")
    expect(told).to_contain_text("until the file is mended")
    told.get_by_role("button", name="write the desk's plan over it").click()
    expect(told).to_have_count(0)
    expect(notice(page, re.compile("by-hand-1.toml"))).to_be_visible()
    assert release.plan.read_bytes() == good
    assert b"ride_dp" in (release.folder / "revisions/small-hours/by-hand-1.toml").read_bytes()


def test_a_hand_edit_that_meets_one_of_the_page_is_offered(page: Page, release: SmallRelease) -> None:
    expect(page.locator("#side .panel h2")).to_be_visible()
    page.evaluate("import('/api.js').then(({ rest }) => rest())")  # it hears of no change by hand
    release.change("ride_db = 0.4", "ride_db = 0.9")
    page.evaluate(
        """async () => { const { edit } = await import('/state.js');
        await edit('set_ride', {name: 'refrain 1', ride_db: 0.2}); }"""
    )
    told = notice(page, "The plan's file was changed by hand at the same time")
    expect(told).to_contain_text("0.9")
    assert "ride_db = 0.2" in release.plan.read_text()
    told.get_by_role("button", name="take the file's").click()
    expect(told).to_have_count(0)
    page.evaluate("import('/state.js').then((state) => { window.state = state; })")
    page.wait_for_function("() => state.plan.value.section[1].ride_db === 0.9")
    assert "ride_db = 0.9" in release.plan.read_text()


def test_another_mix_is_told_and_read_when_asked(page: Page, release: SmallRelease) -> None:
    expect(page.locator("#side .panel h2")).to_be_visible()
    release.change('mix_sha256 = "', '# "')
    write(release.mix, 0.5 * music())
    told = notice(page, "What is heard and shown is still of the file as it was")
    told.get_by_role("button", name="read it anew").click()
    expect(told).to_have_count(0)
    expect(page.locator("#side .panel h2")).to_be_visible()


def test_a_plan_that_changes_beside_half_a_mix_is_shown(page: Page, release: SmallRelease) -> None:
    expect(page.locator("#side .panel h2")).to_be_visible()
    whole = release.mix.read_bytes()
    release.mix.write_bytes(b"RIFF")
    release.change('name = "bridge"', 'name = "lift"')
    expect(page.get_by_role("button", name="lift, bridge, pass C")).to_be_visible()
    expect(page.locator("#side .panel h2")).to_be_visible()
    release.mix.write_bytes(whole)


def test_records_are_taken_and_others_are_refused(page: Page, tmp_path: Path, release: SmallRelease) -> None:
    records = panel(page, "records")
    good, bad = write(tmp_path / "A Record.wav", music(3.0)), tmp_path / "words.wav"
    bad.write_text("no sound")
    records.get_by_label("add records").set_input_files([good, bad])
    expect(notice(page, "words.wav: is not a sound file that arsis knows")).to_be_visible()
    expect(records.get_by_role("button", name="hear A Record")).to_be_visible()
    assert (release.folder / "references" / "A Record.wav").read_bytes() == good.read_bytes()


def test_axe_finds_nothing_in_any_panel(page: Page) -> None:
    print_panel = panel(page, "print")
    print_panel.get_by_role("button", name="print", exact=True).click()
    expect(page.get_by_role("region", name="the last print")).to_be_visible()
    page.evaluate(AXE.read_text())
    for name in PANELS:
        panel(page, name)
        page.emulate_media(color_scheme="light")
        found = page.evaluate("axe.run('#side, .notices')")["violations"]
        page.emulate_media(color_scheme="dark")
        found += page.evaluate("axe.run('#side, .notices', {runOnly: ['color-contrast']})")["violations"]
        assert [(one["id"], one["nodes"][0]["html"]) for one in found] == [], name


def test_a_killed_server_is_told_and_its_page_comes_back(browser: Browser, release: SmallRelease) -> None:
    """The new run has a token of its own: the page comes back when its address is opened."""
    port = str(free_port())
    context = browser.new_context()
    page = context.new_page()
    with desk_process(release.folder, "--port", port) as (process, address):
        page.goto(address)
        expect(page.locator("#side .panel h2")).to_be_visible()
        process.send_signal(signal.SIGKILL)
        expect(notice(page, "The server is not there.")).to_be_visible()
    plan = release.plan.read_bytes()
    with desk_process(release.folder, "--port", port) as (process, address):
        expect(notice(page, "does not know this page")).to_be_visible(timeout=20_000)
        context.new_page().goto(address)
        page.bring_to_front()
        expect(notice(page, "The server is there again")).to_be_visible(timeout=20_000)
        expect(page.locator("#side .panel h2")).to_be_visible()
    context.close()
    assert release.plan.read_bytes() == plan
