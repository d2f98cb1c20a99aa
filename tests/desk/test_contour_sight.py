"""What the contour shows: figures, what is in sight, and what it costs to show it. No plan is changed."""

from __future__ import annotations

import shutil
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from arsis.report.text import change, number
from tests.desk.contour_hand import PATIENCE_MS, STATE, at_the_contour, drag, pixels_per_second, set_state
from tests.desk.served import Served, serving
from tests.releases import SmallRelease


@pytest.fixture(scope="module")
def desk(pristine_release: SmallRelease, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    folder = tmp_path_factory.mktemp("sight") / "nocturnes"
    shutil.copytree(pristine_release.folder, folder)
    with serving(folder) as served:
        yield served


@pytest.fixture(scope="module")
def opened(browser: Browser, desk: Served) -> Iterator[Page]:
    """One page for all of these tests."""
    context = browser.new_context(viewport={"width": 1280, "height": 720}, reduced_motion="reduce")
    page = context.new_page()
    faults: list[str] = []
    page.on("pageerror", lambda fault: faults.append(str(fault)))
    page.goto(desk.address)
    yield at_the_contour(page)
    context.close()
    assert not faults


@pytest.fixture
def contour(opened: Page) -> Page:
    """The whole song in sight."""
    opened.keyboard.press("s")
    opened.wait_for_timeout(50)
    return opened


def test_the_table_says_what_was_measured(contour, desk: Served):
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


def test_the_page_is_turned_when_the_playhead_leaves_it(contour):
    set_state(contour, "view", {"from_s": 0.0, "to_s": 2.0})
    for playing, from_s in ((False, 0.0), (True, pytest.approx(1.92, abs=0.05))):
        set_state(contour, "playhead", round(1.98 * 44_100))
        contour.evaluate(
            f"""async (playing) => {{ {STATE}
              state.playing.value = playing;
              state.playhead.value = Math.round(2.02 * 44100);
              await new Promise((then) => requestAnimationFrame(() => requestAnimationFrame(then)));
              state.playing.value = false;
            }}""",
            playing,
        )
        assert contour.evaluate(f"async () => {{ {STATE} return state.view.value.from_s; }}") == from_s
    set_state(contour, "playhead", 0)


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
