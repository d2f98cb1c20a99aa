"""`make bench-desk`: how soon a change is heard, and how soon a long song is there, measured in the browser.

From releasing a control to the first changed sample at the loudspeaker, in a loop of ten seconds: by the
audio clock, with the output latency that the browser tells. Its parts stand beside it. TRIES: changes (30).
"""

from __future__ import annotations

import os
import shutil
import statistics
import sys
import tempfile
from collections.abc import Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, Page, sync_playwright

sys.path.insert(0, str(Path(__file__).parent.parent))
from arsis.workflow.demo import run_demo
from bench.song import long_material
from tests.browsers import CHROMIUM, FLAGS
from tests.desk.served import serving

SONG = "low-water"
LOOP_S = 10.0
MOST_HEARD_MS = 150.0
MOST_OPEN_MS = 2_000.0
LONG_S = 600.0

# Notes the audio clock when a control is let go, and when another sound is turned to.
WATCH = """() => {
  window.seen = { released: [], turned: [] };
  addEventListener("change", (event) => {
    const context = window.graph.context;
    seen.released.push({ at_s: context.currentTime, ms: performance.now() });
  }, true);
  window.graph.node.port.addEventListener("message", ({ data }) => {
    if (data.type === "turn" && data.mixture)
      seen.turned.push({
        at_s: data.frame / window.graph.context.sampleRate,
        keys: data.mixture.parts.map((one) => one.key),
        latency_s: window.graph.context.outputLatency,
      });
  });
}"""
SHARE = """async () => {
  window.state = await import("/state.js");
  window.player = await import("/hearing/player.js");
}"""
PARTS = """(since) => performance.getEntriesByType("resource").filter((one) => one.startTime >= since)
  .map((one) => ({ name: one.name, from: one.startTime - since, took: one.duration }))"""


@dataclass(frozen=True, slots=True)
class Change:
    """One change, in ms from the release. heard: at the loudspeaker; the parts: when each was done."""

    heard: float
    latency: float
    stored: float
    fetched: float


def main() -> None:
    tries = int(os.environ.get("TRIES", "30"))
    with tempfile.TemporaryDirectory() as scratch, sync_playwright() as playwright:
        folder = Path(scratch) / "tide-tables"
        run_demo(folder, lambda line: None)
        browser = playwright.chromium.launch(executable_path=str(CHROMIUM), args=FLAGS)
        for name, at_s in (("near the start", 40.0), ("late", 112.0)):
            print(
                told(
                    f"a bell changed in a loop of {LOOP_S:g} s, {name}", changes(browser, folder, at_s, tries)
                )
            )
        print(opened(browser, Path(scratch)))
        browser.close()


def changes(browser: Browser, folder: Path, at_s: float, tries: int) -> list[Change]:
    """Changes made one after another with the page's own control."""
    with ExitStack() as stack:
        served = stack.enter_context(serving(folder))
        page = browser.new_page(viewport={"width": 1280, "height": 720})
        stack.callback(page.close)
        page.add_init_script("addEventListener('arsis-graph', (event) => { window.graph = event.detail; });")
        page.goto(f"{served.address}#{SONG}")
        ready(page, at_s)
        field = page.locator("#chain ol > li").nth(2).get_by_role("spinbutton", name="gain")
        found = []
        for turn in range(tries):
            page.wait_for_timeout(600)
            found.append(one_change(page, field, f"{-0.5 - 0.1 * (turn % 9 + 1):.1f}"))
        return found


def ready(page: Page, at_s: float) -> None:
    """Pass B is chosen and the loop plays, all measured."""
    page.evaluate(SHARE)
    page.wait_for_function("() => state.shape.value?.measured", timeout=60_000)
    page.evaluate(
        """async ([from_s, to_s]) => {
          const rate = state.rateHz.value;
          state.choose({ pass: "B" });
          state.loop.value = { from: Math.round(from_s * rate), to: Math.round(to_s * rate) };
          await player.play();
        }""",
        [at_s, at_s + LOOP_S],
    )
    page.wait_for_function("() => window.graph")
    page.wait_for_timeout(2_500)
    page.evaluate(WATCH)


def one_change(page: Page, field: Any, value: str) -> Change:
    page.evaluate(
        "() => { seen.released.length = seen.turned.length = 0; performance.clearResourceTimings(); }"
    )
    before = page.evaluate("() => player.heard.value.parts[0].key")
    field.fill(value)
    field.press("Enter")
    page.wait_for_function(f"() => seen.turned.some((one) => one.keys[0] !== '{before}')")
    seen = page.evaluate("() => window.seen")
    released = seen["released"][0]
    turn = next(one for one in seen["turned"] if one["keys"][0] != before)
    parts = page.evaluate(PARTS, released["ms"])
    return Change(
        heard=1000.0 * (turn["at_s"] - released["at_s"] + turn["latency_s"]),
        latency=1000.0 * turn["latency_s"],
        stored=done(parts, "/edits"),
        fetched=done(parts, turn["keys"][0]),
    )


def done(parts: Sequence[dict[str, Any]], of: str) -> float:
    """When the first request of a kind was answered; 0 where there was none."""
    return next((one["from"] + one["took"] for one in parts if of in one["name"]), 0.0)


def told(title: str, found: Sequence[Change]) -> str:
    lines = [f"{title}: {len(found)} changes, ms from release, median (p90)"]
    for name in ("stored", "fetched", "latency", "heard"):
        values = sorted(getattr(one, name) for one in found)
        p90 = values[min(len(values) - 1, round(0.9 * len(values)))]
        lines.append(f"  {name:8} {statistics.median(values):6.0f} ({p90:.0f})")
    median = statistics.median(one.heard for one in found)
    lines.append(f"  goal {MOST_HEARD_MS:g} ms: {'reached' if median < MOST_HEARD_MS else 'not reached'}")
    return "\n".join(lines)


def opened(browser: Browser, scratch: Path) -> str:
    """How soon a song of ten minutes at 96 kHz can be seen and played, once it has been analysed."""
    material = long_material(LONG_S)
    folder = material.plan.parents[1]
    shutil.rmtree(folder / ".arsis", ignore_errors=True)  # what was analysed before
    (folder / "release.toml").write_text(
        f'schema = 1\ntitle = "Long"\n\n[[song]]\nplan = "songs/{material.plan.name}"\n', encoding="utf-8"
    )
    waits = []
    for _ in range(2):
        with serving(folder) as served:
            page = browser.new_page(viewport={"width": 1280, "height": 720})
            page.goto(served.address)
            page.wait_for_selector("#desk")
            page.evaluate(SHARE)
            page.wait_for_function(
                "() => state.shape.value?.measured && state.sounds.value && state.beats.value",
                timeout=300_000,
            )
            waits.append(page.evaluate("() => performance.now()"))
            page.close()
    return (
        f"ten minutes at 96 kHz: there in {waits[0] / 1000:.1f} s the first time, "
        f"{waits[1] / 1000:.2f} s once analysed; "
        f"goal {MOST_OPEN_MS / 1000:g} s: {'reached' if waits[1] < MOST_OPEN_MS else 'not reached'}"
    )


if __name__ == "__main__":
    main()
