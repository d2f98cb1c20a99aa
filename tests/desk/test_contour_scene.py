"""The contour's arithmetic, run where it runs: in the browser."""

from __future__ import annotations

import base64
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest
from playwright.sync_api import Browser, Page

from arsis.report import patterns, text
from arsis.workflow.hearing.peaks import PeakMeter
from tests.desk.served import serving
from tests.releases import SmallRelease

ACROSS = {"left": 100, "width": 1000}
PASSES = ["A", "B"]


@pytest.fixture(scope="module")
def modules(browser: Browser, pristine_release: SmallRelease) -> Iterator[Page]:
    """A page of the desk's origin, on which its modules can be imported."""
    with serving(pristine_release.folder) as served:
        context = browser.new_context()
        page = context.new_page()
        page.goto(served.address)
        yield page
        context.close()


def call(page: Page, module: str, name: str, *given: Any) -> Any:
    """What a function of a module gives back."""
    return page.evaluate(
        "async ([module, name, given]) => (await import(`/contour/${module}.js`))[name](...given)",
        [module, name, given],
    )


def section(name: str, start_s: float, end_s: float, pass_name: str = "A", **more: Any) -> dict[str, Any]:
    return {"name": name, "kind": "verse", "start_s": start_s, "end_s": end_s, "pass": pass_name} | {
        "ride_db": 0.0,
        "join": None,
        **more,
    }


def figures(print_lufs: float | None, mix_lufs: float | None = -16.0, **more: Any) -> dict[str, Any]:
    nothing = dict.fromkeys(("step_lu", "step_mix_lu", "asked_db", "took_db", "took_most_db"))
    return {"print_lufs": print_lufs, "mix_lufs": mix_lufs, "known": True} | nothing | more


UNKNOWN = figures(None, None) | {"known": False}


def scene(page: Page, sections: list[Any], of: list[Any], **more: Any) -> Any:
    view = {"from_s": 0.0, "to_s": sections[-1]["end_s"]}
    given = {"sections": sections, "figures": of, "passes": PASSES, "view": view, "across": ACROSS}
    return call(page, "scene", "sceneOf", given | {"height": 400, "limiter": True, "ride": False} | more)


def test_zooming_keeps_the_time_under_the_pointer(modules):
    view = {"from_s": 20.0, "to_s": 60.0}
    for by in (1.3, 4.0, 0.7):
        near = call(modules, "sight", "zoomed", view, by, 33.0, 600.0)
        assert near["to_s"] - near["from_s"] == pytest.approx(40.0 / by)
        assert (33.0 - near["from_s"]) / (near["to_s"] - near["from_s"]) == pytest.approx(13.0 / 40.0)


@pytest.mark.parametrize("by", [0.001, 1e6])
def test_the_view_stays_in_the_song(modules, by):
    view = call(modules, "sight", "zoomed", {"from_s": 0.0, "to_s": 5.0}, by, 4.0, 7.0)
    assert 0.0 <= view["from_s"] < view["to_s"] <= 7.0
    moved = call(modules, "sight", "moved", view, 1e4, 7.0)
    assert moved["to_s"] == pytest.approx(7.0)
    assert moved["to_s"] - moved["from_s"] == pytest.approx(view["to_s"] - view["from_s"])


def test_the_axis_has_times_that_do_not_touch(modules):
    for span in (0.3, 2.0, 45.0, 141.0, 600.0, 4_000.0):
        ticks = call(modules, "sight", "ticks", {"from_s": 1.23, "to_s": 1.23 + span}, ACROSS)
        pixels = np.diff(ticks["at_s"]) / span * ACROSS["width"]
        assert len(ticks["at_s"]) >= 2
        assert pixels.min() >= 70 - 1e-6


def test_a_riser_holds_on_to_beats_and_to_downbeats_from_farther(modules):
    beats = {"beats_s": [0.1 + 0.5 * i for i in range(40)], "downbeats_s": [0.1 + 2.0 * i for i in range(10)]}
    for at_s, expected in ((4.55, 4.6), (4.35, 4.35), (4.25, 4.1), (5.9, 6.1), (5.5, 5.6), (19.9, 19.9)):
        assert call(modules, "snap", "snapped", at_s, beats, 0.13) == pytest.approx(expected), at_s
    assert call(modules, "snap", "snapped", 3.3, None, 1.0) == 3.3


def test_a_time_is_said_in_bars_and_beats(modules):
    beats = {"beats_s": [0.1 + 0.5 * i for i in range(40)], "downbeats_s": [0.6 + 2.0 * i for i in range(10)]}
    said = {
        0.1: "upbeat, beat 1",
        0.6: "bar 1, beat 1",
        4.1: "bar 2, beat 4",
        4.62: "bar 3, beat 1, 20 ms after",
    }
    for at_s, words in said.items():
        assert call(modules, "snap", "barAndBeat", at_s, beats) == words


def test_the_next_beat_is_not_the_one_that_is_here(modules):
    beats = [0.1 + 0.5 * i for i in range(10)]
    assert call(modules, "snap", "next", beats, 1.1, 1) == pytest.approx(1.6)
    assert call(modules, "snap", "next", beats, 1.1, -1) == pytest.approx(0.6)
    assert call(modules, "snap", "next", beats, 1.3, -1) == pytest.approx(1.1)
    assert call(modules, "snap", "next", beats, 4.6, 1) is None


@pytest.mark.parametrize(
    ("first", "end", "columns"), [(0, 40_000, 50), (5_000, 29_000, 100), (1_000, 9_000, 40)]
)
def test_no_peak_is_lost_and_none_comes_from_elsewhere(modules, first, end, columns):
    sound = np.random.default_rng(1).uniform(-0.9, 0.9, (2, 40_000)) * np.linspace(0.1, 1.0, 40_000)
    meter = PeakMeter(44_100, 2)
    meter.add(sound)
    swing = modules.evaluate(
        """async ([bytes, first, end, columns]) => {
          const { Peaks } = await import("/contour/peaks.js");
          const data = Uint8Array.from(atob(bytes), (one) => one.charCodeAt(0));
          return [...new Peaks(data.buffer).swing(first, end, columns)];
        }""",
        [base64.b64encode(meter.data()).decode(), first, end, columns],
    )
    per = (end - first) / columns
    wide = 128 if per < 512 else 512
    most = np.abs(sound).max(axis=0)
    for x, one in enumerate(swing):
        a, b = int(first + x * per), int(np.ceil(first + (x + 1) * per))
        assert one >= most[a:b].max() - 1e-6
        assert one <= most[max(a - wide, 0) : b + wide].max() + 1 / 32767


def test_plateaus_stand_as_high_as_they_are_loud(modules):
    lufs = [-20.0, -14.0, -11.0]
    made = scene(
        modules, [section(f"s{i}", 10.0 * i, 10.0 * i + 10) for i in range(3)], [figures(one) for one in lufs]
    )
    top = [one["top"] for one in made["plateaus"]]
    per_lu = np.diff(top) / np.diff(lufs)
    assert per_lu[0] == pytest.approx(per_lu[1])
    assert per_lu[0] < 0
    assert all(one["mix"] == pytest.approx(top[0] + per_lu[0] * 4.0) for one in made["plateaus"])
    assert [one["left"] for one in made["plateaus"]] == pytest.approx([100, 100 + 1000 / 3, 100 + 2000 / 3])
    assert all(made["lanes"]["plot"]["top"] <= one <= made["lanes"]["plot"]["bottom"] for one in top)


def test_the_steps_are_written_as_in_the_reports(modules):
    steps = [None, 0.949, -5.71, 0.04, 12.0]
    of = [figures(-14.0, step_lu=one, asked_db=0.6, took_db=0.27) for one in steps]
    made = scene(modules, [section(f"s{i}", 10.0 * i, 10.0 * i + 10) for i in range(5)], of)
    assert [one["step"] for one in made["risers"]] == [
        text.change(one) for one in steps[1:] if one is not None
    ]
    assert made["risers"][0]["under"] == [f"asked {text.change(0.6)}", f"took {text.number(0.27)}"]


def test_words_that_do_not_fit_give_way(modules):
    sections = [section("a", 0, 500), section("b", 500, 505), section("c", 505, 520), section("d", 520, 1000)]
    of = [figures(-14.0, step_lu=1.0, asked_db=0.5) for _ in sections]
    made = scene(modules, sections, of)
    assert [bool(one["step"]) for one in made["risers"]] == [False, False, True]
    assert [bool(one["label"]) for one in made["plateaus"]] == [True, False, False, True]
    assert made["risers"][2]["under"] == ["asked +0.5"]


def test_what_the_limiter_took_goes_first_where_one_line_has_room(modules):
    sections = [section("a", 0, 100), section("b", 100, 108), section("c", 108, 200)]
    of = [figures(-14.0, step_lu=1.0, asked_db=0.6, took_db=took) for took in (0.0, 0.3, 0.3)]
    risers = scene(modules, sections, of, height=240, view={"from_s": 90, "to_s": 200})["risers"]
    assert [one["under"] for one in risers] == [["took 0.3"], ["asked +0.6, took 0.3"]]


def test_silence_and_what_is_not_measured_are_told_apart(modules):
    sections = [section("a", 0, 50), section("b", 50, 100)]
    made = scene(modules, sections, [figures(-12.0), figures(None, None)])
    assert [one["silent"] for one in made["plateaus"]] == [False, True]
    assert made["plateaus"][1]["top"] == made["lanes"]["plot"]["bottom"]
    assert made["plateaus"][1]["label"]["figures"] == "silent"
    unmeasured = scene(modules, sections, [UNKNOWN, UNKNOWN])
    assert unmeasured["grid"] == []
    assert {one["label"]["figures"] for one in unmeasured["plateaus"]} == {""}
    assert scene(modules, sections, [figures(None, None)] * 2)["plateaus"][0]["silent"]


def test_only_what_is_in_sight_is_laid_out(modules):
    sections = [section(f"s{i}", 10.0 * i, 10.0 * i + 10) for i in range(30)]
    made = scene(modules, sections, [figures(-14.0, step_lu=1.0)] * 30, view={"from_s": 44.0, "to_s": 71.0})
    assert [one["name"] for one in made["plateaus"]] == ["s4", "s5", "s6", "s7"]
    assert [one["name"] for one in made["risers"]] == ["s5", "s6", "s7"]


def test_a_join_is_marked_where_something_changes(modules):
    sections = [
        section("a", 0, 10),
        section("b", 10, 20, "B"),
        section("c", 20, 30, "B"),
        section("d", 30, 40, "B", ride_db=0.4, join={"fade_ms": 300.0, "lead_ms": 100.0}),
    ]
    joins = scene(modules, sections, [UNKNOWN] * 4)["joins"]
    assert [one["name"] for one in joins] == ["b", "d"]
    assert [joins[1]["left"], joins[1]["right"]] == pytest.approx([100 + 29.6 * 25, 100 + 29.9 * 25])


def test_bars_are_shown_before_beats_and_neither_where_there_is_no_room(modules):
    beats = {"beats_s": [0.5 * i for i in range(1200)], "downbeats_s": [2.0 * i for i in range(300)]}
    for to_s, bars, all_beats in ((600.0, 0, 0), (100.0, 50, 0), (50.0, 25, 100)):
        shown = scene(
            modules, [section("a", 0, 600)], [UNKNOWN], beats=beats, view={"from_s": 0, "to_s": to_s}
        )
        assert sum(one["down"] for one in shown["beats"]) == bars
        assert sum(not one["down"] for one in shown["beats"]) == all_beats


def test_a_part_that_was_split_off_keeps_the_level_but_has_no_step_yet(modules):
    shape = {
        "sections": [
            {
                "name": "a",
                "start_s": 0,
                "end_s": 10,
                "print": {"loudness_lufs": -14.0},
                "mix": {"loudness_lufs": -15.0},
            }
            | {"step_print_lu": None, "step_asked_db": None, "took": {"step_db": None}},
            {
                "name": "b",
                "start_s": 10,
                "end_s": 20,
                "print": {"loudness_lufs": -11.0},
                "mix": {"loudness_lufs": -13.0},
            }
            | {"step_print_lu": 3.0, "step_asked_db": 0.5, "took": {"step_db": 0.1}},
        ]
    }
    plan = [section("a", 0, 10), section("b", 10, 15), section("b 2", 15, 20)]
    of = call(modules, "figures", "figuresOf", plan, shape)
    assert [(one["print_lufs"], one["step_lu"]) for one in of] == [(-14.0, None), (-11.0, 3.0), (-11.0, None)]
    assert call(modules, "figures", "ageOf", {"measured": False}, {"version": 1}) == "none"
    assert call(modules, "figures", "ageOf", shape | {"version": 1}, {"version": 2}) == "before"
    assert call(modules, "figures", "ageOf", shape | {"version": 2}, {"version": 2}) == "now"


def test_the_ride_between_its_points_is_a_straight_line(modules):
    points = [{"time_s": t, "gain_db": g} for t, g in ((2.0, 0.5), (4.0, -1.0), (9.0, 2.0))]
    for at_s in (0.0, 2.0, 2.5, 4.0, 6.1, 9.0, 30.0):
        expected = np.interp(at_s, [2.0, 4.0, 9.0], [0.5, -1.0, 2.0])
        assert call(modules, "ride_points", "rideAt", points, at_s) == pytest.approx(expected)
    moved = call(modules, "ride_points", "withMoved", points, 1, {"time_s": 99.0, "gain_db": 40.0}, 30.0)
    assert moved[1]["time_s"] < 9.0
    assert moved[1]["gain_db"] == 12.0


def test_names_and_letters_that_are_free(modules):
    assert call(modules, "section_edits", "nextName", "verse 1", ["verse 1", "verse 2"]) == "verse 3"
    assert call(modules, "section_edits", "nextName", "bridge", ["bridge"]) == "bridge 2"
    assert call(modules, "passes", "freeLetter", ["A", "C"]) == "B"


def test_there_are_as_many_patterns_as_in_the_reports(modules):
    count = modules.evaluate("import('/contour/patterns.js').then((one) => one.PATTERNS)")
    ids = {patterns.pattern_id(str(i), [str(j) for j in range(20)]) for i in range(20)}
    assert count == len(ids)
