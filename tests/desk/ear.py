"""An ear at the desk's output: what leaves the player for the sound device, frame by frame."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from playwright.sync_api import Page

from tests.tolerances import FADE_SINGLE

from .worklet_page import Heard, Sound, expected, unpacked

MOST_SECONDS = 30
START = float(np.float32(0.1))  # the monitor's level on a new page
STATE, PLAYER, LEVELS = "/state.js", "/hearing/player.js", "/hearing/levels.js"
CATCH_GRAPH = "addEventListener('arsis-graph', ({ detail }) => { window.graph = detail; });"


@dataclass(frozen=True, slots=True)
class Ear:
    page: Page

    def taken(self) -> Heard:
        """What was heard since this was last asked."""
        answer = self.page.evaluate("async () => (await import('/tests/listen.js')).taken()")
        return Heard(unpacked(answer["left"], answer["right"]), answer["told"], answer["first"])

    def signal(self, module: str, name: str) -> Any:
        """The value of a signal of the page's own modules."""
        return self.page.evaluate("([of, name]) => window.modules[of][name].value", [module, name])

    def play(self) -> None:
        """Starts, and waits until something sounds."""
        self.page.locator("#hear").get_by_role("button", name="play", exact=True).click()
        self.wait_for(PLAYER, "heard", "value !== null")

    def wait_for(self, module: str, name: str, test: str) -> None:
        """Until `test`, JavaScript over `value`, holds of a signal."""
        script = f"([of, name]) => {{ const value = window.modules[of][name].value; return {test}; }}"
        self.page.wait_for_function(script, arg=[module, name])

    def full_level(self) -> None:
        """Turns the monitor up to 0 dB and waits until it has got there; something has to play."""
        self.page.locator("#hear").get_by_label("monitor", exact=True).fill("0")
        self.page.evaluate(
            """() => new Promise((done) => window.graph.node.port.addEventListener("message", ({ data }) => {
                if (data.type === "at" && data.level === 1) done();
            }))"""
        )


def open_ear(page: Page) -> Ear:
    """Starts and stops the player once, so that there is a graph, and taps it. The page has to be opened with
    CATCH_GRAPH as an initial script."""
    page.evaluate(
        """async (names) => {
            window.modules = {};
            for (const name of names) window.modules[name] = await import(name);
        }""",
        [STATE, PLAYER, LEVELS],
    )
    page.get_by_role("button", name="play", exact=True).click()
    page.wait_for_function("() => Boolean(window.graph)")
    page.get_by_role("button", name="stop", exact=True).click()
    page.wait_for_timeout(100)
    page.evaluate("async (seconds) => (await import('/tests/listen.js')).listen(seconds)", MOST_SECONDS)
    return Ear(page)


def assert_as_expected(heard: Heard, sounds: dict[str, Sound], level: float = START) -> int:
    """Holds what was heard against numpy, all bits outside the fades; gives how many those were."""
    told = expected(heard, sounds)
    want = (told.samples * level).astype(np.float32)
    steady = ~told.fading
    np.testing.assert_array_equal(heard.samples[:, steady], want[:, steady])
    np.testing.assert_allclose(heard.samples[:, ~steady], want[:, ~steady], rtol=0, atol=FADE_SINGLE)
    return int((steady & np.any(want != 0, axis=0)).sum())
