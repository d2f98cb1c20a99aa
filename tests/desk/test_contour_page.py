"""The contour under a pointer and under keys: what is done on the page stands in the plan on disk."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from arsis.report.text import change, number
from tests.desk.conftest import AXE
from tests.desk.served import Served
from tests.releases import SmallRelease

BEATS = [0.25 * i for i in range(28)]
DOWNBEATS = BEATS[2::4]  # 0.5, 1.5, 2.5 …
STATE = "const state = await import('/state.js');"
PATIENCE_MS = 10_000


@pytest.fixture
def contour(page: Page) -> Page:
    """The page with its song on it, and beats that are known."""
    page.get_by_role("slider", name="start of refrain 1").wait_for()
    known = {"tempo_bpm": 240.0, "beats_s": BEATS, "downbeats_s": DOWNBEATS}
    page.route("**/api/songs/*/beats", lambda route: route.fulfill(json=known))
    page.evaluate(f"async () => {{ {STATE} await state.readBeats(); }}")
    return page


def plan_of(page: Page, release: SmallRelease) -> dict[str, Any]:
    """The plan on disk, once the page has nothing more to send."""
    for _ in range(100):
        if page.evaluate(f"async () => {{ {STATE} return state.settled(); }}"):
            break
        page.wait_for_timeout(20)
    return tomllib.loads(release.plan.read_text(encoding="utf-8"))


def section(page: Page, release: SmallRelease, name: str) -> dict[str, Any]:
    return next(one for one in plan_of(page, release)["section"] if one["name"] == name)


def set_state(page: Page, name: str, value: Any) -> None:
    page.evaluate(f"async ([name, value]) => {{ {STATE} state[name].value = value; }}", [name, value])


def drag(
    page: Page,
    what: Locator,
    by_x: float,
    by_y: float = 0.0,
    before_release: Callable[[], None] | None = None,
) -> None:
    box = what.bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + min(box["height"] / 2, 60)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + by_x / 2, y + by_y / 2)
    page.mouse.move(x + by_x, y + by_y)
    if before_release:
        before_release()
    page.mouse.up()


def pixels_per_second(page: Page) -> float:
    return float(page.evaluate("import('/contour/stage.js').then((one) => one.across.value.width)")) / 7.0


def riser(page: Page, name: str) -> Locator:
    return page.get_by_role("slider", name=f"start of {name}", exact=True)


def choose(page: Page, name: str) -> None:
    page.get_by_role("group", name="sections").get_by_role("button", name=f"{name}, ").click()


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
    choose(contour, "bridge")
    contour.keyboard.press("r")
    field = contour.get_by_role("textbox", name="name of bridge")
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
    contour.keyboard.press("Delete")
    assert plan_of(contour, release).get("ride", []) == []


def test_the_table_says_what_was_measured(contour, desk: Served, release):
    for _ in range(100):
        shape = contour.request.get(f"{desk.origin}/api/songs/small-hours/shape").json()
        if shape["measured"]:
            break
        contour.wait_for_timeout(100)
    rows = contour.get_by_role("table", name="the contour of the song").get_by_role("row")
    expect(rows).to_have_count(5)
    for row, one in zip(rows.all()[1:], shape["sections"], strict=True):
        expect(row).to_contain_text(number(one["print"]["loudness_lufs"]), timeout=PATIENCE_MS)
        cells = row.get_by_role("cell").all_text_contents()
        assert cells[7:11] == [
            "–" if one[key] is None else change(one[key])
            for key in ("step_mix_lu", "step_print_lu", "step_asked_db")
        ] + ["–" if one["took"]["step_db"] is None else number(one["took"]["step_db"])]


def test_figures_of_the_change_before_are_called_so(contour):
    status = contour.locator(".stage [role=status]")
    expect(status).to_have_text("", timeout=PATIENCE_MS)
    contour.evaluate(f"async () => {{ {STATE} state.shape.value = {{ ...state.shape.value, version: 0 }}; }}")
    expect(status).to_have_text("figures of the change before; measuring")
    set_state(contour, "shape", {"measured": False})
    expect(status).to_have_text("measuring")


def test_playing_on_does_not_paint_the_scene_again(contour):
    paints = contour.evaluate(
        f"""async () => {{ {STATE}
          const stage = await import("/contour/stage.js");
          const frame = () => new Promise((then) => requestAnimationFrame(() => requestAnimationFrame(then)));
          await new Promise((then) => setTimeout(then, 300));
          let paints = 0;
          const clear = CanvasRenderingContext2D.prototype.clearRect;
          CanvasRenderingContext2D.prototype.clearRect = function (...given) {{
            paints++;
            return clear.apply(this, given);
          }};
          for (let i = 0; i < 5; i++) {{ state.playhead.value += 4410; await frame(); }}
          const played = paints;
          for (let i = 0; i < 20; i++) stage.scroll(0.001);
          stage.zoom(2, 3);
          await frame();
          return [played, paints - played];
        }}"""
    )
    assert paints == [0, 1]


def test_the_wheel_zooms_where_the_pointer_is_and_shift_moves_along(contour):
    view = f"async () => {{ {STATE} return state.view.value; }}"
    contour.mouse.move(900, 200)
    contour.mouse.wheel(0, -400)
    contour.wait_for_timeout(100)
    near = contour.evaluate(view)
    assert 0.0 < near["from_s"] < near["to_s"] < 7.0
    contour.keyboard.down("Shift")
    contour.mouse.wheel(0, 100)
    contour.keyboard.up("Shift")
    contour.wait_for_timeout(100)
    later = contour.evaluate(view)
    assert later["from_s"] > near["from_s"]
    assert later["to_s"] - later["from_s"] == pytest.approx(near["to_s"] - near["from_s"])


def test_a_press_on_the_time_axis_puts_the_playhead_and_a_drag_moves_along(contour):
    playhead = f"async () => {{ {STATE} return state.playhead.value; }}"
    axis, per_s = contour.locator(".stage .axis"), pixels_per_second(contour)
    axis.click(position={"x": 3.0 * per_s, "y": 10})
    assert contour.evaluate(playhead) == pytest.approx(3 * 44_100, abs=44_100 / per_s)
    contour.keyboard.press("n")
    contour.wait_for_timeout(100)
    before = contour.evaluate(f"async () => {{ {STATE} return state.view.value.from_s; }}")
    drag(contour, axis, 100)
    contour.wait_for_timeout(100)
    after = contour.evaluate(f"async () => {{ {STATE} return state.view.value.from_s; }}")
    assert after < before
    assert contour.evaluate(playhead) == pytest.approx(3 * 44_100, abs=44_100 / per_s)


def test_a_section_that_is_gone_leaves_the_choice_to_its_neighbour(contour, release):
    choose(contour, "verse 2")
    release.change('name = "verse 2"', 'name = "coda"')
    expect(contour.locator("h2").get_by_role("button", name="coda")).to_be_visible(timeout=PATIENCE_MS)


@pytest.mark.parametrize(("width", "height"), [(1280, 720), (2560, 1440)])
def test_everything_has_its_place(contour, width, height):
    contour.set_viewport_size({"width": width, "height": height})
    contour.wait_for_timeout(200)
    boxes = [
        one.bounding_box()
        for one in contour.locator(".riser, .names button, .row, .section-line, canvas").all()
    ]
    assert all(box and box["x"] >= 0 and box["x"] + box["width"] <= width + 1 for box in boxes)
    assert contour.evaluate("document.documentElement.scrollHeight <= innerHeight")
    assert contour.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_the_colours_follow_the_scheme(contour):
    read = """() => { const canvas = document.querySelector(".stage canvas");
      return [...canvas.getContext("2d").getImageData(canvas.width - 60, canvas.height - 60, 1, 1).data]; }"""
    contour.wait_for_timeout(200)
    light = contour.evaluate(read)
    contour.emulate_media(color_scheme="dark")
    contour.wait_for_timeout(200)
    assert contour.evaluate(read) != light


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
