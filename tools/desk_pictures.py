"""The desk's main states, photographed in Chromium on the demo release, for README and docs.

Called by `make pictures`; by itself: `python tools/desk_pictures.py DEMO FOLDER [WIDTHxHEIGHT]`.
"""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from playwright.sync_api import Page, sync_playwright

CHROMIUM = "/usr/bin/chromium"
FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--hide-scrollbars",
)
SONG = "low-water"


@dataclass(frozen=True, slots=True)
class Shot:
    """One state of the page: how it is reached, in which colours."""

    name: str
    reach: Callable[[Page], None]
    scheme: Literal["light", "dark"] = "light"


def main() -> None:
    demo, folder = Path(sys.argv[1]), Path(sys.argv[2])
    width, height = (int(one) for one in (sys.argv[3] if len(sys.argv) > 3 else "1280x720").split("x"))
    desk_photographed(demo, folder, width, height)


def desk_photographed(demo: Path, folder: Path, width: int = 1280, height: int = 720) -> None:
    """Every shot, each of a page of its own on the same desk."""
    with served(demo) as address, sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=list(FLAGS))
        context = browser.new_context(viewport={"width": width, "height": height}, reduced_motion="reduce")
        context.new_page().goto(address)  # the token becomes a cookie
        origin = address.partition("?")[0]
        for shot in SHOTS:
            page = context.new_page()
            page.emulate_media(color_scheme=shot.scheme)
            page.goto(f"{origin}#{SONG}")
            measured(page)
            shot.reach(page)
            page.wait_for_timeout(400)
            page.screenshot(path=folder / f"{shot.name}.png")
            page.close()
        browser.close()


@contextmanager
def served(demo: Path) -> Iterator[str]:
    """The address of `arsis desk`, as it prints it."""
    command = [sys.executable, "-m", "arsis", "desk", str(demo), "--no-browser"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        try:
            yield process.stdout.readline().partition(": ")[2].strip()
        finally:
            process.terminate()


def measured(page: Page) -> None:
    page.wait_for_selector("#desk")
    page.evaluate("import('/state.js').then((state) => { window.state = state; })")
    page.wait_for_function("() => state.shape.value?.version === state.doc.value?.version", timeout=60_000)
    page.wait_for_function("() => state.beats.value", timeout=60_000)


def at_a_refrain(page: Page) -> None:
    page.evaluate("state.choose({ section: 'refrain 1', pass: 'B' })")


def whole(page: Page) -> None:
    at_a_refrain(page)
    page.locator("#chain ol > li").nth(2).get_by_role("button", name="bell", exact=True).click()


def playing(page: Page) -> None:
    at_a_refrain(page)
    page.get_by_role("button", name="this join").click()
    page.get_by_role("button", name="play", exact=True).click()
    page.evaluate("state.notices.value = []")
    page.wait_for_timeout(3_000)


def near(page: Page) -> None:
    """A join from near, its riser in hand."""
    at_a_refrain(page)
    page.evaluate("state.view.value = { from_s: 34, to_s: 43 }")
    riser = page.get_by_role("slider", name="start of refrain 1")
    box = riser.bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + 60)
    page.mouse.down()
    page.mouse.move(box["x"] + box["width"] / 2 + 24, box["y"] + 60, steps=4)
    page.wait_for_timeout(1_500)


def blind(page: Page) -> None:
    at_a_refrain(page)
    page.get_by_role("button", name="compare blind").click()
    page.get_by_role("form", name="blind comparison").get_by_role("button", name="begin").click()
    page.evaluate("state.notices.value = []")
    page.wait_for_timeout(1_000)


def panel(name: str) -> Callable[[Page], None]:
    def reach(page: Page) -> None:
        at_a_refrain(page)
        page.get_by_role("navigation", name="panels").get_by_role("button", name=name).click()

    return reach


def printed(page: Page) -> None:
    panel("print")(page)
    page.locator("#side form").get_by_role("button", name="print", exact=True).click()
    page.locator("#side").get_by_text("dBTP").wait_for()


def move_heard(page: Page) -> None:
    panel("advice")(page)
    page.get_by_role("button", name="listen to the print").click()
    page.get_by_role("button", name="hear it: bell").click(timeout=60_000)
    page.wait_for_timeout(6_000)  # until it is measured
    page.evaluate("state.notices.value = []")


def keys(page: Page) -> None:
    page.get_by_role("button", name="keys", exact=True).click()


SHOTS = (
    Shot("desk", whole),
    Shot("desk-dark", playing, "dark"),
    Shot("desk-join", near),
    Shot("desk-blind", blind),
    Shot("desk-print", printed),
    Shot("desk-revisions", panel("revisions")),
    Shot("desk-keys", keys),
    Shot("desk-move", move_heard),  # the last: its moves stay on the desk
)

if __name__ == "__main__":
    main()
