"""Two pages of one desk: what one changes the other shows, and neither loses anything."""

from __future__ import annotations

from playwright.sync_api import Page, expect

from arsis.plan.codec import read_song
from tests.desk.served import Served
from tests.releases import SmallRelease

RIDE = "(ride_db) => import('/state.js').then((state) => state.edit('set_ride', { name, ride_db }))"


def ride(name: str) -> str:
    """Sets a section's ride through the page's own model."""
    return RIDE.replace("{ name,", f"{{ name: {name!r},")


def assert_shows(page: Page, section: str, ride_db: str) -> None:
    page.get_by_role("group", name="sections").get_by_role("button", name=f"{section}, ").click()
    expect(page.locator(".section-line").get_by_label("ride")).to_have_value(ride_db)


def test_two_pages_agree(page: Page, desk: Served, release: SmallRelease) -> None:
    other = page.context.new_page()
    other.goto(desk.origin)
    for one in (page, other):
        one.get_by_role("slider", name="start of refrain 1").wait_for()
    # Both at once, on sections of their own, many times.
    for step in range(1, 6):
        page.evaluate(ride("refrain 1"), 0.4 + step / 10)
        other.evaluate(ride("verse 2"), -step / 10)
    rides = {one.name: one.ride_db for one in read_song(release.plan).section}
    assert (rides["refrain 1"], rides["verse 2"]) == (0.9, -0.5)
    assert_shows(other, "refrain 1", "0.9")
    assert_shows(page, "verse 2", "-0.5")
    # Ten steps were made; either page takes them back, and the other follows.
    for one in (page, other) * 5:
        before = one.evaluate("import('/state.js').then((state) => state.doc.value.version)")
        one.evaluate("import('/state.js').then((state) => state.undo())")
        for each in (page, other):
            each.evaluate("import('/state.js').then((state) => { window.state = state; })")
            # A page that lies behind another paints no frames to be asked at.
            each.wait_for_function(f"() => state.doc.value.version > {before}", polling=20)
    assert_shows(page, "refrain 1", "0.4")
    assert_shows(other, "verse 2", "0")
    assert [one.ride_db for one in read_song(release.plan).section] == [0.0, 0.4, 0.0, 0.0]
