"""A hand on the contour: what its tests do with pointer and keys."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from typing import Any

from playwright.sync_api import Locator, Page

from tests.releases import SmallRelease

STATE = "const state = await import('/state.js');"
PATIENCE_MS = 10_000
BEATS = [0.25 * i for i in range(28)]
DOWNBEATS = BEATS[2::4]  # 0.5, 1.5, 2.5 …


def at_the_contour(page: Page) -> Page:
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
