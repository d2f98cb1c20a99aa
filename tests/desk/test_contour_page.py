"""The contour under a pointer and under keys: what is done on the page stands in the plan on disk."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from arsis.report.text import change
from tests.desk.conftest import AXE
from tests.desk.contour_hand import (
    PATIENCE_MS,
    STATE,
    at_the_contour,
    choose,
    drag,
    pixels_per_second,
    plan_of,
    riser,
    section,
    set_state,
)
from tests.desk.served import Served


@pytest.fixture
def contour(page: Page) -> Page:
    return at_the_contour(page)


def test_a_dragged_riser_holds_on_to_the_beat(contour, release):
    drag(contour, riser(contour, "refrain 1"), 0.28 * pixels_per_second(contour))
    assert section(contour, release, "refrain 1")["start_s"] == 2.25


def test_with_alt_held_it_holds_on_to_nothing(contour, release):
    contour.keyboard.down("Alt")
    drag(contour, riser(contour, "refrain 1"), 0.27 * pixels_per_second(contour))
    contour.keyboard.up("Alt")
    assert section(contour, release, "refrain 1")["start_s"] == pytest.approx(2.27, abs=0.004)
    assert section(contour, release, "refrain 1")["start_s"] != 2.25


def test_while_it_is_dragged_its_beat_is_told_and_the_plan_waits(contour, release):
    def look() -> None:
        expect(contour.locator(".tip")).to_contain_text("0:02.500")
        expect(contour.locator(".tip")).to_contain_text("bar 3, beat 1")
        assert section(contour, release, "refrain 1")["start_s"] == 2.0
        contour.keyboard.press("Escape")

    drag(contour, riser(contour, "refrain 1"), 0.5 * pixels_per_second(contour), before_release=look)
    assert section(contour, release, "refrain 1")["start_s"] == 2.0


def test_a_riser_moves_by_keys_and_says_where_it_is(contour, release):
    handle = riser(contour, "bridge")
    choose(contour, "bridge")
    handle.focus()
    for key, expected in (
        ("ArrowRight", 4.25),
        ("PageUp", 4.5),
        ("Shift+ArrowLeft", 4.49),
        ("Alt+ArrowLeft", 4.489),
    ):
        contour.keyboard.press(key)
        assert section(contour, release, "bridge")["start_s"] == pytest.approx(expected, abs=1 / 44_100)
    told = handle.get_attribute("aria-valuetext") or ""
    assert told.startswith("0:04.489, bar 5, beat 1, 11 ms before")
    contour.keyboard.press("Control+z")
    expect(handle).to_have_attribute("aria-valuenow", "4")
    assert section(contour, release, "bridge")["start_s"] == 4.0


def test_the_clean_join_is_shown_and_taken_by_a_key(contour, desk: Served, release):
    riser(contour, "refrain 1").focus()
    take = contour.get_by_role("button", name="take it")
    contour.keyboard.press("Shift+ArrowRight")
    take.wait_for()
    at_s = section(contour, release, "refrain 1")["start_s"]
    join = contour.request.get(
        f"{desk.origin}/api/songs/small-hours/join", params={"section": "refrain 1", "at_s": f"{at_s:.6f}"}
    ).json()
    contour.keyboard.press("c")
    expect(contour.locator(".tip")).to_contain_text("a clean join is here")
    taken = section(contour, release, "refrain 1")
    assert taken["start_s"] == pytest.approx(join["at_s"], abs=1e-6)
    made = taken.get("join", {"fade_ms": 20.0, "lead_ms": 2.0})
    assert (made["fade_ms"], made["lead_ms"]) == (join["fade_ms"], join["lead_ms"])


def test_split_at_the_playhead_and_merged_again(contour, release):
    set_state(contour, "playhead", 3 * 44_100)
    contour.keyboard.press("/")
    expect(riser(contour, "refrain 2")).to_be_visible()
    assert section(contour, release, "refrain 2")["start_s"] == 3.0
    assert section(contour, release, "refrain 2")["pass"] == "B"
    contour.keyboard.press("&")
    expect(riser(contour, "refrain 2")).to_have_count(0)
    assert [one["name"] for one in plan_of(contour, release)["section"]] == [
        "verse 1",
        "refrain 1",
        "bridge",
        "verse 2",
    ]


def test_a_section_is_renamed_in_its_place(contour, release):
    names = contour.get_by_role("group", name="sections")
    field = contour.get_by_role("textbox", name="name of bridge")
    names.get_by_role("button", name="bridge, ").dblclick()
    field.fill("never")
    field.press("Escape")
    choose(contour, "bridge")
    contour.keyboard.press("r")
    expect(field).to_be_focused()
    field.fill("middle eight")
    field.press("Enter")
    expect(
        contour.get_by_role("group", name="sections").get_by_role("button", name="middle eight")
    ).to_have_attribute("aria-pressed", "true")
    assert section(contour, release, "middle eight")["start_s"] == 4.0


def test_kind_pass_ride_and_join_of_the_chosen_section(contour, release):
    choose(contour, "bridge")
    line = contour.locator(".section-line")
    line.get_by_label("kind").select_option("solo")
    line.get_by_label("pass").select_option("B")
    line.get_by_label("ride").fill("-0.7")
    line.get_by_label("fade").fill("35")
    line.get_by_label("ms, done").fill("5")
    line.get_by_label("ms, done").press("Enter")
    now = section(contour, release, "bridge")
    assert (now["kind"], now["pass"], now["ride_db"]) == ("solo", "B", -0.7)
    assert now["join"] == {"fade_ms": 35.0, "lead_ms": 5.0}
    line.get_by_role("button", name="as usual").click()
    assert "join" not in section(contour, release, "bridge")


def test_the_ride_of_a_section_by_keys_is_one_step_back(contour, release):
    choose(contour, "refrain 1")
    for _ in range(3):
        contour.keyboard.press("Shift+ArrowUp")
    assert section(contour, release, "refrain 1")["ride_db"] == pytest.approx(0.7)
    expect(contour.locator(".section-line").get_by_label("ride")).to_have_value("0.7")
    contour.keyboard.press("Control+z")
    expect(contour.locator(".section-line").get_by_label("ride")).to_have_value("0.4")
    assert section(contour, release, "refrain 1")["ride_db"] == pytest.approx(0.4)


def test_a_level_that_no_plan_can_hold_is_put_back(contour, release):
    field = contour.locator(".section-line").get_by_label("ride")
    field.fill("40")
    field.press("Enter")
    expect(field).to_have_value("0")
    assert section(contour, release, "verse 1").get("ride_db", 0.0) == 0.0


def test_a_stretch_of_another_row_takes_the_section(contour, release):
    contour.get_by_role("button", name="give bridge to pass A").click()
    expect(contour.get_by_role("button", name="bridge uses pass A")).to_have_attribute("aria-pressed", "true")
    assert section(contour, release, "bridge")["pass"] == "A"
    contour.get_by_role("button", name="bridge uses pass A").focus()
    contour.keyboard.press("ArrowDown")
    expect(contour.get_by_role("button", name="give bridge to pass B")).to_be_focused()
    contour.keyboard.press("Enter")
    expect(contour.get_by_role("button", name="bridge uses pass B")).to_be_visible()
    assert section(contour, release, "bridge")["pass"] == "B"
    assert contour.evaluate(f"async () => {{ {STATE} return state.chosen.value.pass; }}") == "B"


def test_passes_are_made_copied_renamed_and_removed(contour, release):
    def deed(name: str) -> None:
        contour.get_by_role("button", name="passes …").click()
        contour.get_by_role("button", name=name).click()

    rows = contour.get_by_role("group", name="passes", exact=True)
    rows.get_by_role("button", name="pass B").first.click()
    deed("a copy of B")
    expect(rows.get_by_role("group", name="pass D")).to_be_visible()
    assert plan_of(contour, release)["pass"]["D"] == plan_of(contour, release)["pass"]["B"]
    deed("rename pass D")
    contour.get_by_role("textbox", name="name of pass D").fill("warm")
    contour.keyboard.press("Enter")
    expect(rows.get_by_role("group", name="pass warm")).to_be_visible()
    deed("new pass, empty")
    expect(rows.get_by_role("group", name="pass D")).to_be_visible()
    assert plan_of(contour, release)["pass"]["D"].get("chain", []) == []
    deed("remove pass D")
    expect(rows.get_by_role("group", name="pass D")).to_have_count(0)
    assert set(plan_of(contour, release)["pass"]) == {"A", "B", "C", "warm"}


def test_a_ride_is_drawn_moved_and_taken_away(contour, release):
    contour.get_by_role("button", name="ride", exact=True).click()
    lane = contour.get_by_role("group", name="drawn ride")
    per_s = pixels_per_second(contour)
    lane.dblclick(position={"x": 1.0 * per_s, "y": 24})
    expect(lane.get_by_role("slider")).to_have_count(1)
    set_state(contour, "playhead", 5 * 44_100)
    contour.keyboard.press("l")
    second = contour.get_by_role("slider", name="point 2 of 2")
    expect(second).to_be_focused()
    contour.keyboard.press("ArrowUp")
    contour.keyboard.press("ArrowUp")
    first_db = plan_of(contour, release)["ride"][0]["gain_db"]
    expect(second).to_have_attribute("aria-valuetext", f"{change(first_db + 0.2)} dB at 0:05.00")
    drag(contour, second, 0.26 * per_s)
    ride = plan_of(contour, release)["ride"]
    assert [one["time_s"] for one in ride] == pytest.approx([1.0, 5.25], abs=0.01)
    assert ride[1]["gain_db"] == pytest.approx(first_db + 0.2)
    second.focus()
    contour.keyboard.press("Delete")
    expect(contour.get_by_role("slider", name="point 1 of 1")).to_be_focused()
    contour.keyboard.press("Delete")
    assert plan_of(contour, release).get("ride", []) == []


def test_a_section_that_is_gone_leaves_the_choice_to_its_neighbour(contour, release):
    choose(contour, "verse 2")
    release.change('name = "verse 2"', 'name = "coda"')
    expect(contour.locator("h2").get_by_role("button", name="coda")).to_be_visible(timeout=PATIENCE_MS)


def test_axe_finds_nothing_serious_in_any_of_its_states(contour):
    contour.evaluate(AXE.read_text())
    riser(contour, "refrain 1").focus()
    contour.keyboard.press("Shift+l")
    contour.keyboard.press("l")
    contour.keyboard.press("r")
    for key in ("", "t"):
        contour.locator("h2").first.focus()
        if key:
            contour.keyboard.press("Escape")
            contour.keyboard.press(key)
        found = contour.evaluate("axe.run(document.querySelector('.contour'))")
        assert [
            (one["id"], one["nodes"][0]["html"])
            for one in found["violations"]
            if one["impact"] in ("serious", "critical")
        ] == []
